"""A fuzz target for the C headers of many tables: raw values of any kind, both directions, in any order."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gaugecore.table.c import raw_type, to_c
from gaugecore.table.colophon import identifier
from gaugecore.table.integer import Table
from tests.fuzzing import build_fuzzer
from tests.table.machines import branches

_HEAD = """\
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int holds, const char *what, long raw, long command)
{
    if (!holds) {
        fprintf(stderr, "broken: %s, raw %ld gives %ld\\n", what, raw, command);
        abort();
    }
}
"""
#: The direction may change between two values; the command must be one of both maps, inside the limits.
_FOLLOW = """
    struct {name}_side side;
    memset(&side, 0, sizeof side);
    for (size_t i = 0u; i + sizeof({raw}) <= size; i += sizeof({raw})) {{
        {raw} raw;
        memcpy(&raw, &data[i], sizeof raw);
        const long now = (long){name}_follow(&side, raw);
        demand((now == (long){name}_up(raw)) || (now == (long){name}_down(raw)), "{name} neither", raw, now);
        demand((now >= {upper}_LOWEST) && (now <= {upper}_HIGHEST), "{name} limits", raw, now);
    }}
"""
#: A pair of raw values in order gives commands in order, or all pairs in the opposite one.
_BRANCH = """
    for (size_t i = 0u; i + 2u * sizeof({raw}) <= size; i += sizeof({raw})) {{
        {raw} raw[2];
        memcpy(raw, &data[i], sizeof raw);
        const long first = (long){name}_{branch}(raw[0]);
        const long second = (long){name}_{branch}(raw[1]);
        demand((first >= {upper}_LOWEST) && (first <= {upper}_HIGHEST), "{name} limits", raw[0], first);
        demand((second >= {upper}_LOWEST) && (second <= {upper}_HIGHEST), "{name} limits", raw[1], second);
        if (raw[0] < raw[1]) {{
            demand(first {rises} second, "{name} steps back", raw[0], first);
        }}
    }}
"""


def fuzz_source(tables: Sequence[Table]) -> str:
    """Return the C of the target; the first byte of an input chooses the table."""
    includes = "".join(f'#include "{identifier(table.origin.name)}.h"\n' for table in tables)
    functions = "".join(_function(table) for table in tables)
    cases = "".join(
        f"    case {i}u:\n        try_{identifier(table.origin.name)}(&data[1], size - 1u);\n        break;\n"
        for i, table in enumerate(tables)
    )
    entry = (
        "\nint LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)\n{\n    if (size == 0u) {\n"
        f"        return 0;\n    }}\n    switch (data[0] % {len(tables)}u) {{\n{cases}"
        "    default:\n        break;\n    }\n    return 0;\n}\n"
    )
    return includes + _HEAD + functions + entry


def build(folder: Path, tables: Sequence[Table]) -> Path:
    """Build the target with the headers of some tables, and return it."""
    for table in tables:
        (folder / f"{identifier(table.origin.name)}.h").write_bytes(to_c(table))
    source = folder / "fuzz_table.c"
    source.write_text(fuzz_source(tables), "ascii")
    return build_fuzzer(folder / "fuzz_table", source, include=(folder,))


def seeds(tables: Sequence[Table]) -> dict[str, bytes]:
    """Return for every table the ends of its raw range, and what lies just beyond."""
    found: dict[str, bytes] = {}
    for i, table in enumerate(tables):
        size = 4 if raw_type(table.places) == "int32_t" else 2
        low, high = table.places.raw_low, table.places.raw_high
        raws = (low - 1, low, low + 1, (low + high) // 2, high - 1, high, high + 1, low)
        words = (raw % (1 << 8 * size) for raw in raws)
        found[table.origin.name] = bytes([i]) + b"".join(word.to_bytes(size, "little") for word in words)
    return found


def _function(table: Table) -> str:
    name = identifier(table.origin.name)
    values = {
        "name": name,
        "upper": name.upper(),
        "raw": raw_type(table.places),
        "rises": ">=" if table.places.falling else "<=",
    }
    body = "".join(_BRANCH.format(branch=branch, **values) for branch, _ in branches(table))
    if table.down is not None:
        body += _FOLLOW.format(**values)
    return f"\nstatic void try_{name}(const uint8_t *data, size_t size)\n{{{body}}}\n"
