"""The C99 header on this machine: gcc and clang, sanitizers on, every warning an error, every raw value."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gaugecore.table.c import raw_type, to_c
from gaugecore.table.choose import make_table
from gaugecore.table.colophon import identifier, self_test
from gaugecore.table.follow import Follower
from gaugecore.table.integer import Origin, Table
from tests.table.catalogue import catalogue, sample_raws
from tests.table.curves import curve_a, order, table_a, target_of
from tests.table.machines import WARNINGS, branches, run, workshop

COMPILERS = {
    "gcc": ("-fsanitize=address,undefined", "-fno-sanitize-recover=all"),
    # clang's trap needs none of its run-time libraries, which Debian packs apart
    "clang": ("-fsanitize=undefined,implicit-conversion", "-fsanitize-trap=all"),
}


def program(tables: Sequence[Table], body: str, compiler: str, name: str) -> Path:
    """Compile a program that includes the headers of some tables, all at once."""
    folder = workshop() / f"{compiler}-{name}"
    folder.mkdir(exist_ok=True)
    for table in tables:
        (folder / f"{identifier(table.origin.name)}.h").write_bytes(to_c(table))
    includes = "".join(f'#include "{identifier(table.origin.name)}.h"\n' for table in tables)
    (folder / "main.c").write_text(
        f"{includes}#include <stdio.h>\nint main(void)\n{{\n{body}    return 0;\n}}\n"
    )
    run(compiler, *WARNINGS, *COMPILERS[compiler], "-O1", "-o", folder / "main", folder / "main.c")
    return folder / "main"


def dump(table: Table) -> str:
    """Return C that writes the commands of a table for all its raw values, two bytes each."""
    raws = sample_raws(table)
    name, kind = identifier(table.origin.name), raw_type(table.places)
    info = np.iinfo({"uint16_t": np.uint16, "int16_t": np.int16, "int32_t": np.int32}[kind])
    raws = raws[(raws >= info.min) & (raws <= info.max)]
    step = int(np.diff(raws).max())
    lines = []
    for branch, _ in branches(table):
        lines.append(f"    for (int64_t raw = {raws[0]}LL; raw <= {raws[-1]}LL; raw += {step}LL) {{")
        lines.append(f"        const uint16_t command = (uint16_t){name}_{branch}(({kind})raw);")
        lines.append("        fwrite(&command, 2, 1, stdout);\n    }")
    lines.append(f"    if ({name}_self_test() != 1u) {{\n        return 1;\n    }}\n")
    return "\n".join(lines)


def dumped(table: Table) -> np.ndarray:
    """Return what `dump` should write, by the Python model."""
    raws = sample_raws(table)
    kind = raw_type(table.places)
    info = np.iinfo({"uint16_t": np.uint16, "int16_t": np.int16, "int32_t": np.int32}[kind])
    raws = raws[(raws >= info.min) & (raws <= info.max)]
    raws = np.arange(raws[0], raws[-1] + 1, int(np.diff(raws).max()))
    return np.concatenate([table.commands(raws, direction) for _, direction in branches(table)]) & 0xFFFF


@pytest.mark.slow
@pytest.mark.parametrize("compiler", COMPILERS)
def test_every_form_gives_the_integers_of_the_python_model_for_every_raw_value(compiler: str) -> None:
    tables = catalogue()
    binary = program(tables, "".join(map(dump, tables)), compiler, "all")
    out = binary.with_suffix(".out")
    run("sh", "-c", f"{binary} > {out}")
    found = np.frombuffer(out.read_bytes(), dtype="<u2").astype(np.int64)
    for table in tables:
        wanted = dumped(table)
        np.testing.assert_array_equal(found[: wanted.size], wanted, err_msg=table.origin.name)
        found = found[wanted.size :]
    assert not found.size


@pytest.mark.slow
def test_the_direction_follows_the_raw_value_as_in_python() -> None:
    tables = [table for table in catalogue() if table.down is not None]
    assert len(tables) >= 4
    rng = np.random.default_rng(5)
    body, wanted = "", []
    for table in tables:
        name, low, span = identifier(table.origin.name), table.places.raw_low, table.places.span
        walk = low + span * np.abs(np.modf(np.cumsum(rng.normal(0, 0.004, 3000)))[0])
        raws = np.clip(walk.astype(np.int64), low, table.places.raw_high)
        follower = Follower(table)
        wanted += [follower.command(int(raw)) for raw in raws]
        kind = raw_type(table.places)
        # the lowest 32-bit integer has no literal of its own in C
        values = ", ".join(f"({raw + 1}LL - 1LL)" for raw in raws.tolist())
        body += f"    {{\n        static const int64_t walk[] = {{{values}}};\n"
        body += f"        struct {name}_side side = {{0, 0, 0}};\n"
        body += f"        for (int i = 0; i < {raws.size}; i++) {{\n            "
        body += f'printf("%d\\n", (int){name}_follow(&side, ({kind})walk[i]));\n        }}\n    }}\n'
    binary = program(tables, body, "clang", "follow")
    assert [int(line) for line in run(binary).split()] == wanted


def test_both_directions_are_really_used_and_noise_does_not_flip_them() -> None:
    table = next(table for table in catalogue() if table.origin.name == "both-falling")
    follower = Follower(table)
    up = [follower.command(raw) for raw in (1000, 2000, 1999, 1950, 2010)]
    assert up == [table.commands(raw)[0] for raw in (1000, 2000, 1999, 1950, 2010)]
    before = follower.direction
    assert follower.command(1900) == table.commands(1900, follower.direction)[0]
    assert follower.direction is not before


HOSTILE = (
    'x */ int y; /* "',
    "trigraph ??/",
    "ends with a backslash \\",
    "two\nlines\r\nof #error",
    "Ω µs 🎈 \u2028 \x00 \x1b[31m",
    "'''\"\"\" import os",
    "*/" * 50,
    "*\\/",
    "????//",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_no_title_breaks_out_of_its_comment(text: str, tmp_path: Path) -> None:
    table = make_table(
        [target_of(curve_a, raw=(0, 255))],
        order("hostile", 4.0, origin=Origin(name="hostile", panel=text, instrument=text, fitted_on=text)),
    )
    (tmp_path / "main.c").write_bytes(
        to_c(table) + b"int main(void) { return nw_hostile_self_test() - 1; }\n"
    )
    for compiler in COMPILERS:
        for standard in ("-std=c99", "-std=gnu99"):
            run(compiler, *WARNINGS, standard, "-trigraphs", "-o", tmp_path / "main", tmp_path / "main.c")
            run(tmp_path / "main")


def test_the_same_table_gives_the_same_bytes_and_they_are_ascii() -> None:
    first, second = to_c(table_a(2.0)), to_c(table_a(2.0))
    assert first == second
    assert first.isascii()
    assert b"\r" not in first


def test_the_header_divides_nothing_and_floats_nothing() -> None:
    for table in catalogue():
        text = to_c(table).decode()
        code = text.split("*/", 1)[1]
        code = "\n".join(line for line in code.splitlines() if "/*" not in line and "include" not in line)
        assert "/" not in code
        assert "%" not in code
        assert "float" not in code
        assert "double" not in code


@st.composite
def small_tables(draw: st.DrawFn) -> Table:
    """Draw tables of any width, direction and roughness that are made in a moment."""
    low = draw(st.integers(-40000, 60000))
    span = draw(st.integers(1, 3000))
    ends = (draw(st.floats(700, 5900)), draw(st.floats(700, 5900)))
    bend = draw(st.floats(0, 0.9))
    target = target_of(
        lambda u: u - bend * np.sin(2 * np.pi * u) / (2 * np.pi), raw=(low, low + span), commands=ends
    )
    max_error = draw(st.floats(0.5, 40))
    return make_table([target], order("small", max_error))


@given(table=small_tables())
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@pytest.mark.slow
def test_any_table_keeps_its_bound_its_limits_and_its_direction(table: Table) -> None:
    outputs = table.cell_outputs()
    assert (np.diff(outputs) >= 0).all()
    assert outputs[0] >= table.limits.lowest
    assert outputs[-1] <= table.limits.highest
    assert all(row[1] == table.command(row[0]) for row in self_test(table))


@given(table=small_tables())
@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@pytest.mark.slow
def test_any_table_compiles_and_agrees(table: Table) -> None:
    binary = program([table], dump(table), "gcc", "small")
    out = binary.with_suffix(".out")
    run("sh", "-c", f"{binary} > {out}")
    np.testing.assert_array_equal(np.frombuffer(out.read_bytes(), dtype="<u2"), dumped(table))
