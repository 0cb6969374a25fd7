"""A table's points as they are shown: in a comment, on the terminal, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from gaugecore.table.colophon import directions, rounded_up
from gaugecore.table.integer import Table
from gaugecore.table.points import Points

#: A comment longer than this is no longer read; the JSON holds them all.
_MOST_SHOWN = 128
_WIDTH = 100


def readable_lines(table: Table) -> list[str]:
    """Return the lines that show a table's points, plain ASCII; none where it has none."""
    lines: list[str] = []
    for points, side in zip(table.points, _sides(table), strict=True):
        shown = "; the JSON form lists them" if len(points.raw) > _MOST_SHOWN else ""
        lines.append(f"points (raw, command){side}: {_counted(points)}{shown}")
        if not shown:
            pairs = " ".join(f"({raw},{command})" for raw, command in points.rising())
            lines += wrap(pairs, _WIDTH, initial_indent="  ", subsequent_indent="  ")
    if lines:
        lines.append(f"  {_rule(table)}")
    return lines


def readable_json(table: Table) -> dict[str, object]:
    """Return a table's points in JSON values, a list for each direction that has a map of its own."""
    return {
        "points_rule": _rule(table),
        "points": [
            {
                "direction": side.removeprefix(" ") or "both",
                "raw": [raw for raw, _ in points.rising()],
                "command": [command for _, command in points.rising()],
                "fewest_pieces": points.fewest,
                "proven_fewest": points.proven,
                "worst_error": rounded_up(points.worst_error),
            }
            for points, side in zip(table.points, _sides(table), strict=True)
        ],
    }


def _sides(table: Table) -> Sequence[str]:
    if not table.points:
        return ()
    return [""] if table.down is None else [f" {side.value}" for side in directions(table)]


def _counted(points: Points) -> str:
    fewest = "proven fewest" if points.proven else f"proven not to be fewer than {points.fewest}"
    worst = rounded_up(points.worst_error)
    return f"{len(points.raw)}, {points.pieces} straight pieces ({fewest}), worst error {worst:g}"


def _rule(table: Table) -> str:
    rule = (
        "straight lines between, to the nearest whole, halves up; the table may differ within the error bound"
    )
    if table.places.right_shift:
        end = table.places.raw_high if table.places.falling else table.places.raw_low
        return f"{rule}; raw values in steps of {1 << table.places.right_shift} from {end}"
    return rule
