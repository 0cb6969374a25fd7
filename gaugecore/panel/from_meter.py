"""Figures that the meter corrects, put into the panel."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.panel.document import Panel
from gaugecore.panel.edit import parse_place, with_value
from gaugecore.supply.refit import Refit


def taken_over(panel: Panel, fits: Sequence[Refit]) -> Panel:
    """Return the panel with the figures that the meter corrects.

    Raises
    ------
    DocumentError
        If a figure is not valid where it goes.
    """
    for fit in fits:
        panel = with_value(panel, parse_place(panel_place(panel, fit.place)), round(fit.after, 3))
    return panel


def panel_place(panel: Panel, place: str) -> str:
    """Return a place of the supply's words as a place in the panel.

    ``movements.1.idle_ma`` is the movement of the second instrument.
    """
    head, _, rest = place.partition(".")
    if head != "movements":
        return place
    index, _, field = rest.partition(".")
    return f"instruments.{panel.instruments[int(index)].id}.movement.{field}"
