"""Tables as CSV and JSON, every output listed: reading them needs no arithmetic, so they cannot differ."""

from __future__ import annotations

import csv
import io
import json

from gaugecore.table.colophon import colophon, crc32, rounded_up, rows, self_test
from gaugecore.table.integer import Table
from gaugecore.table.readable import readable_json

_COLUMNS = {1: ("command",), 2: ("command_up", "command_down")}


def to_csv(table: Table) -> bytes:
    """Return the table as CSV: `#` lines, a header, then one row for every raw value.

    Notes
    -----
    Where the range has more than 65,536 raw values, a row holds from its raw value up to the next row's.
    """
    raw, outputs = rows(table)
    text = io.StringIO()
    for line in (*colophon(table), _row_rule(table)):
        text.write(f"# {line}\n")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(("raw", *_COLUMNS[len(outputs)]))
    writer.writerows(zip(raw.tolist(), *(column.tolist() for column in outputs), strict=True))
    return text.getvalue().encode("ascii")


def to_json(table: Table) -> bytes:
    """Return the table as one JSON object.

    Notes
    -----
    The command for a raw value is entry ``(clamped raw - raw_low) // raw_step`` of its list; where the last
    cells are counted from the high end, the lists are for ``raw_first`` onward.
    """
    raw, outputs = rows(table)
    report = summary(table) | {
        "comment": [*colophon(table), _row_rule(table)],
        "self_test": [list(row) for row in self_test(table)],
        "raw": raw.tolist(),
    }
    report |= {name: column.tolist() for name, column in zip(_COLUMNS[len(outputs)], outputs, strict=True)}
    return (json.dumps(report, separators=(",", ":"), ensure_ascii=True) + "\n").encode("ascii")


def summary(table: Table) -> dict[str, object]:
    """Return what there is to say about a table, in JSON values."""
    return {
        "format": "needlewright-table",
        "version": 1,
        "name": table.origin.name,
        "panel": table.origin.panel,
        "instrument": table.origin.instrument,
        "readings_taken": table.origin.fitted_on or None,
        "raw_range": [table.places.raw_low, table.places.raw_high],
        "unit": table.unit,
        "ticks_per_unit": table.ticks_per_unit,
        "limits": [table.limits.lowest, table.limits.highest],
        "worst_error": rounded_up(table.worst_error),
        "worst_error_in_commands": rounded_up(table.worst_error_in_commands),
        "pinned_raw": list(table.pinned_raw),
        "up_with_raw": table.up_with_raw,
        "hysteresis_raw": table.hysteresis,
        "crc32": f"{crc32(table):08x}",
        "choice": table.choice,
        **readable_json(table),
    }


def _row_rule(table: Table) -> str:
    if table.places.right_shift:
        return "a row holds from its raw value up to the next row's"
    return "every raw value is listed; look it up, nothing to interpolate"
