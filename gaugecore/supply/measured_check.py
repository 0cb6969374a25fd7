"""The check of the meter's readings: which differ from what is computed, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.findings import Finding, Severity
from gaugecore.supply.compare import Compared, compare
from gaugecore.supply.refit import Refit, refit, withheld
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draws


def check_measured(supply: Supply, movements: Sequence[Draws]) -> list[Finding]:
    """Return a finding for each meter reading that the computation does not bear out."""
    names = {load.name for load in supply.loads} | {string.name for string in supply.led_strings}
    found = [
        Finding(
            rule="meter-reading-of-nothing",
            severity=Severity.CAUTION,
            place=f"supply.measured.{index}.only",
            message=f"a meter reading is of {reading.only!r}, and the supply has no such load",
            measured=reading.only,
            wanted=", ".join(sorted(names)) or "a load",
            remedy="name the load or LED string exactly",
        )
        for index, reading in enumerate(supply.measured)
        if reading.only and reading.only not in names
    ]
    offered, kept_back = refit(supply, movements), withheld(supply, movements)
    found += [
        Finding(
            rule="measured-differs",
            severity=Severity.CAUTION,
            place=f"supply.measured.{row.index}",
            message=f"measured and computed differ: {row.suspect}",
            measured=f"{row.measured_ma:.0f} mA",
            wanted=f"about {row.computed_ma:.0f} mA, as computed",
            source="the meter",
            remedy=_remedy(row, _of(row, offered), _of(row, kept_back)),
        )
        for row in compare(supply, movements)
        if row.suspect and (not row.only or row.only in names)
    ]
    return found


def _of(row: Compared, fits: Sequence[Refit]) -> list[Refit]:
    return [fit for fit in fits if fit.state is row.state and fit.only == row.only]


def _remedy(row: Compared, offered: Sequence[Refit], kept_back: Sequence[Refit]) -> str:
    doubts = [fit for fit in kept_back if fit.doubt]
    if row.as_if:
        figures = _figures([fit for fit in kept_back if not fit.doubt])
        so = f" ({figures}): then set it by hand" if figures else ""
        return f"look there first; only if it is not so is the figure itself off{so}"
    if offered:
        return "look at that load first; if the meter is right, take over the refitted figures"
    if doubts:
        return (
            f"look at what is on and connected: the figure that would explain it cannot be "
            f"({_figures(doubts)}; {doubts[0].doubt})"
        )
    return "look at that load first; if the meter is right, correct its figure"


def _figures(fits: Sequence[Refit]) -> str:
    """Return what would be refitted; of a group that shares one correction the first few."""
    said = [f"{fit.place.rpartition('.')[2]} of {fit.name!r} {fit.after:.3g} {fit.unit}" for fit in fits[:3]]
    return ", ".join(said) + (f" and {len(fits) - 3} more" if len(fits) > 3 else "")
