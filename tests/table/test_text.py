"""CSV and JSON, read back by the standard library: the integers of the Python model, the CRC of zlib."""

from __future__ import annotations

import csv
import json
import zlib

import numpy as np
import pytest

from gaugecore.table.colophon import crc32
from gaugecore.table.integer import Table
from gaugecore.table.text import to_csv, to_json
from tests.table.catalogue import catalogue, sample_raws
from tests.table.machines import branches

NAMES = ("curve-a-even", "straight-pieces-free", "negative-even", "both-falling", "all-raw-free", "wide-even")


def tables() -> list[Table]:
    found = [table for table in catalogue() if table.origin.name in NAMES]
    assert len(found) == len(NAMES)
    return found


def looked_up(raw: list[int], column: list[int], wanted: np.ndarray) -> np.ndarray:
    """Return the entries in force: a row holds from its raw value up to the next row's."""
    held = np.clip(wanted, raw[0], None)
    return np.asarray(column)[np.searchsorted(raw, held, side="right") - 1]


@pytest.mark.slow
def test_csv_gives_the_same_integer_for_every_raw_value() -> None:
    for table in tables():
        text = to_csv(table).decode("ascii")
        lines = [line for line in text.splitlines() if not line.startswith("#")]
        rows = list(csv.DictReader(lines))
        names = [name.replace("command_command", "command") for name in rows[0]]
        single = table.down is None
        assert names == (["raw", "command"] if single else ["raw", "command_up", "command_down"])
        raw = [int(row["raw"]) for row in rows]
        if table.places.right_shift == 0:
            assert raw == list(range(table.places.raw_low, table.places.raw_high + 1))
        for branch, direction in branches(table):
            column = [int(row["command" if single else f"command_{branch}"]) for row in rows]
            some = sample_raws(table)
            np.testing.assert_array_equal(looked_up(raw, column, some), table.commands(some, direction))


@pytest.mark.slow
def test_json_gives_the_same_integer_for_every_raw_value_and_says_what_it_is() -> None:
    for table in tables():
        report = json.loads(to_json(table))
        for branch, direction in branches(table):
            name = "command" if table.down is None else f"command_{branch}"
            some = sample_raws(table)
            found = looked_up(report["raw"], report[name], some)
            np.testing.assert_array_equal(found, table.commands(some, direction))
        assert report["worst_error"] >= table.worst_error
        assert report["limits"] == [table.limits.lowest, table.limits.highest]
        assert report["self_test"][0][0] == table.places.raw_low


def test_the_crc_is_that_of_zlib_over_the_columns_of_the_csv() -> None:
    table = next(table for table in tables() if table.origin.name == "both-falling")
    lines = [line for line in to_csv(table).decode().splitlines() if not line.startswith("#")][1:]
    columns = list(zip(*(line.split(",") for line in lines), strict=True))
    data = b"".join(int(cell).to_bytes(2, "little") for column in columns[1:] for cell in column)
    assert zlib.crc32(data) == crc32(table)
    assert f"0x{crc32(table):08X}" in to_csv(table).decode()
    # the CRC itself: check value of CRC-32 in the published catalogues (crcmod, crccheck)
    assert zlib.crc32(b"123456789") == 0xCBF43926
