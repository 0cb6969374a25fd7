"""The MicroPython module under the real interpreter (its Unix port): the integers of the Python model."""

from __future__ import annotations

import binascii
import keyword

import numpy as np
import pytest

from gaugecore.table.choose import make_table
from gaugecore.table.colophon import identifier
from gaugecore.table.follow import Follower
from gaugecore.table.integer import Origin
from gaugecore.table.micropython import to_micropython
from tests.table.catalogue import catalogue, sample_raws
from tests.table.curves import curve_a, order, target_of
from tests.table.machines import branches, run_micropython
from tests.table.test_c import HOSTILE

_MAIN = """\
import binascii
{imports}

def crc(function, first, last, step):
    found = 0
    for raw in range(first, last + 1, step):
        found = binascii.crc32((function(raw) & 0xFFFF).to_bytes(2, "little"), found)
    return found

{calls}
"""


@pytest.mark.slow
def test_every_form_gives_the_integers_of_the_python_model_for_every_raw_value() -> None:
    files, imports, calls, wanted = {}, [], [], []
    for table in catalogue():
        name = identifier(table.origin.name)
        files[f"{name}.py"] = to_micropython(table)
        imports.append(f"import {name}")
        calls.append(f"print({name}.self_test())")
        wanted.append("True")
        raws = sample_raws(table)
        # every raw value of one table of each kind, every seventh of the rest: this interpreter is slow
        step = int(np.diff(raws).max())
        step = step if table.origin.name in ("curve-a-free", "curve-a-even") else 7 * step
        raws = np.arange(raws[0], raws[-1] + 1, step)
        for branch, direction in branches(table):
            calls.append(f"print(crc({name}.{branch}, {raws[0]}, {raws[-1]}, {step}))")
            outputs = (table.commands(raws, direction) & 0xFFFF).astype("<u2")
            wanted.append(str(binascii.crc32(outputs.tobytes())))
    main = _MAIN.format(imports="\n".join(imports), calls="\n".join(calls))
    assert run_micropython(files, main).split() == wanted


def test_the_direction_follows_the_raw_value_as_in_python() -> None:
    table = next(table for table in catalogue() if table.origin.name == "both-narrow")
    raws = np.clip(np.cumsum(np.random.default_rng(2).normal(0, 6, 500)) + 500, 0, 1023).astype(int).tolist()
    follower = Follower(table)
    main = (
        "from nw_both_narrow import Follow\nfollow = Follow()\n"
        f"for raw in {raws}:\n    print(follow.command(raw))\n"
    )
    found = run_micropython({"nw_both_narrow.py": to_micropython(table)}, main)
    assert [int(line) for line in found.split()] == [follower.command(raw) for raw in raws]


@pytest.mark.slow
@pytest.mark.parametrize("text", HOSTILE)
def test_no_title_breaks_out_of_its_comment(text: str) -> None:
    origin = Origin(name="hostile", panel=text, instrument=text, fitted_on=text)
    table = make_table([target_of(curve_a, raw=(0, 255))], order("hostile", 4.0, origin=origin))
    module = to_micropython(table)
    assert module.isascii()
    main = "import nw_hostile\nprint(nw_hostile.self_test())\n"
    assert run_micropython({"nw_hostile.py": module}, main).split() == ["True"]


@pytest.mark.parametrize("name", [*keyword.kwlist, "int", "table", "a-b", "x9"])
def test_a_name_becomes_an_identifier_that_is_no_keyword(name: str) -> None:
    made = identifier(name.lower())
    assert made.isidentifier()
    assert not keyword.iskeyword(made)
