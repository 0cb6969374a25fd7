"""Another movement in an instrument's place: to try it, or to keep it."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.errors import InputError
from gaugecore.movement.library import load_library, movements_to_choose_from, own_library_path
from gaugecore.panel.document import Instrument
from gaugecore.panel.panel_file import PanelFile, save_over


def with_movement(instrument: Instrument, name: str) -> Instrument:
    """Return the instrument with a movement of the library.

    Raises
    ------
    InputError
        If neither the user's own movements nor the generic classes have this name.
    DocumentError
        If the user's own library is damaged.
    """
    there = movements_to_choose_from(load_library(own_library_path()))
    if name not in there:
        raise InputError("there is no such movement", where="--like", found=name, accepted=", ".join(there))
    return instrument.model_copy(update={"movement": there[name]})


def store(opened: PanelFile, instruments: Sequence[Instrument], *, like: str | None) -> None:
    """Save the panel with these instruments in their places.

    Raises
    ------
    InputError
        If no other movement was named, so that there is nothing to store.
    OutputError
        If the file cannot be written, or another program changed it meanwhile.
    """
    if like is None:
        raise InputError("there is nothing to store", where="--store", accepted="--like NAME beside it")
    panel = opened.panel
    for instrument in instruments:
        panel = panel.with_instrument(instrument)
    save_over(opened, panel)
