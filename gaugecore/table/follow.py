"""Which direction's map a moving raw value uses: the firmware's rule, step for step."""

from __future__ import annotations

from gaugecore.calibration.readings import Direction
from gaugecore.table.integer import Table


class Follower:
    """One needle's memory of which way it last went; keep one for each needle.

    The map changes once the raw value has turned back by more than the table's hysteresis, so that noise on
    a resting value does not flip it.
    """

    def __init__(self, table: Table) -> None:
        self._table = table
        self._falling = False
        self._turned_at: int | None = None

    @property
    def direction(self) -> Direction:
        """Return the direction in which the dial angle is taken to move."""
        return Direction.UP if self._falling != self._table.up_with_raw else Direction.DOWN

    def command(self, raw: int) -> int:
        """Return the command for the next raw value."""
        places = self._table.places
        now = min(max(raw, places.raw_low), places.raw_high)
        at = self._turned_at
        if at is None or (now <= at if self._falling else now >= at):
            self._turned_at = now
        elif abs(now - at) > self._table.hysteresis:
            self._falling = not self._falling
            self._turned_at = now
        return self._table.command(now, self.direction)
