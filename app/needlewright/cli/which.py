"""Which instrument of the panel a verb is about."""

from __future__ import annotations

from pathlib import Path

from gaugecore.errors import InputError
from gaugecore.panel.document import Instrument, Panel


def the_one(panel: Panel, instrument_id: str | None, *, path: Path) -> Instrument:
    """Return the instrument with an id; without one, the panel's only instrument.

    Raises
    ------
    InputError
        If there is no such instrument, or it takes an id to tell.
    """
    _refuse_empty(panel, path)
    if instrument_id is None and len(panel.instruments) != 1:
        raise InputError("which instrument?", where=str(path), accepted=f"--instrument {_ids(panel, ' or ')}")
    return the_ones(panel, instrument_id, path=path)[0]


def the_ones(panel: Panel, instrument_id: str | None, *, path: Path) -> list[Instrument]:
    """Return the instrument with an id; without one, all of them.

    Raises
    ------
    InputError
        If there is no such instrument.
    """
    if instrument_id is None:
        return list(panel.instruments)
    _refuse_empty(panel, path)
    instrument = panel.instrument(instrument_id)
    if instrument is None:
        raise InputError(
            "the panel has no such instrument",
            where=str(path),
            found=instrument_id,
            accepted=_ids(panel, ", "),
        )
    return [instrument]


def _refuse_empty(panel: Panel, path: Path) -> None:
    if not panel.instruments:
        raise InputError(
            "the panel has no instrument yet",
            where=str(path),
            accepted="a panel with at least one instrument",
        )


def _ids(panel: Panel, joint: str) -> str:
    return joint.join(instrument.id for instrument in panel.instruments)
