"""The supply stage: what feeds the panel, what hangs on it, and what is left."""

from __future__ import annotations

from gaugecore.panel.edit import Place
from gaugecore.supply.states import draws
from needlewright.ui.desk import Desk
from needlewright.ui.inspector import Part, Sections
from needlewright.ui.inspector_page import InspectorPage
from needlewright.ui.supply_bars import SupplyBars


class SupplyStage(InspectorPage):
    """Bars of every state above the form over the supply."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, _sections)
        self._source = SupplyBars()
        self._apart = SupplyBars()
        for at, bars in enumerate((self._source, self._apart)):
            bars.setContentsMargins(0, 0, 0, 0)
            self.column.insertWidget(at, bars)
        self.column.setContentsMargins(12, 8, 12, 0)
        desk.document.changed.connect(lambda _: self.refresh())
        self.refresh()

    def refresh(self) -> None:
        """Show what the panel draws now."""
        panel = self._desk.document.panel
        supply = panel.supply
        states = draws(supply, [instrument.movement for instrument in panel.instruments])
        self._source.show_draws(states, supply.source_limit_ma, of_movements=False)
        self._apart.setVisible(supply.movements_apart)
        self._apart.show_draws(
            [draw for draw in states if draw.movements_worst_ma > 0],
            supply.movements_source_limit_ma,
            of_movements=True,
        )


def _sections(_instrument: Place) -> Sections:
    return (Part("Supply", ("supply",)),)
