from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.calibration import csv_rows
from gaugecore.calibration.readings import (
    Direction,
    Held,
    Reading,
    format_readings,
    parse_readings,
    read_readings,
)
from gaugecore.errors import ReadingsError


def test_columns_come_in_any_order_and_comments_are_left_out() -> None:
    header = "note,angle_deg,command,held,cycle,direction"
    text = f"# a comment\n{header}\n# another\nfirst,-12.5,1400,command,2,down\n"
    assert parse_readings(text, where="r.csv") == (
        Reading(
            command=1400, angle_deg=-12.5, direction=Direction.DOWN, cycle=2, held=Held.COMMAND, note="first"
        ),
    )


@pytest.mark.parametrize(
    "text",
    [
        "command;angle_deg\n1500,5;-3,25\n",
        'command,angle_deg\n"1500,5","-3,25"\n',
        "command,angle_deg\r\n1500.5,-3.25\r\n",
        "\ufeffcommand,angle_deg\n1500.5,−3.25\n",
        "Command , Angle_deg\n 1500.5 , -3.25 \n\n",
    ],
    ids=["semicolons", "quoted", "windows", "byte order mark and minus sign", "spaces"],
)
def test_separators_decimal_signs_and_line_ends_are_read_alike(text: str) -> None:
    (reading,) = parse_readings(text, where="r.csv")
    assert (reading.command, reading.angle_deg) == (1500.5, -3.25)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "r.csv: the file holds no readings"),
        ("# only\n# comments\n", "r.csv: the file holds no readings"),
        ("command,angle_deg\n", "r.csv: the file has a header and no rows"),
        ("command,angle\n1,2\n", "r.csv, header: a column is not known, found 'angle'"),
        ("command,note\n1,2\n", "r.csv, header: the column angle_deg is missing"),
        ("command,angle_deg,command\n1,2,3\n", "r.csv, header: a column is there twice, found 'command'"),
        (
            "command,angle_deg\n1500,3\n# x\n1600,four\n",
            "r.csv, row 2 (line 4), column angle_deg: a number is needed, found 'four'",
        ),
        ("command,angle_deg\n1500,\n", "row 1 (line 2), column angle_deg: a number is needed"),
        ("command,angle_deg\n1500,nan\n", "column angle_deg: a number is needed, found 'nan'"),
        ("command,angle_deg\ninf,3\n", "column command: a number is needed, found 'inf'"),
        ("command,angle_deg\n1_500,3\n", "column command: a number is needed"),
        (
            "command,angle_deg\n1500,12,5\n",
            "the row has 3 cells, the header 2; a decimal comma needs semicolons",
        ),
        ("command,angle_deg\n1500\n", "row 1 (line 2): the row has 1 cells, the header 2"),
        (
            "command,angle_deg,direction\n1500,3,left\n",
            "column direction: the word is not known, found 'left'; accepted: up, down or empty",
        ),
        ("command,angle_deg,cycle\n1500,3,1.5\n", "column cycle: a whole number is needed, found '1.5'"),
        ("command,angle_deg,cycle\n1500,3,-1\n", "column cycle: a whole number is needed"),
        ("command,angle_deg\n1500,99999\n", "column angle_deg: must be less than or equal to 36000"),
        ('command,angle_deg\n1500,"3\n', "row 1 (line 2): the line is not CSV"),
    ],
)
def test_a_bad_file_is_refused_with_row_and_column(text: str, says: str) -> None:
    with pytest.raises(ReadingsError) as caught:
        parse_readings(text, where="r.csv")
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_file_that_is_not_there_not_text_or_too_large_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(ReadingsError, match="cannot read the file"):
        read_readings(tmp_path / "none.csv")
    path = tmp_path / "r.csv"
    path.write_bytes(b"command,angle_deg\n\xff\xfe1,2\n")
    with pytest.raises(ReadingsError, match="not UTF-8"):
        read_readings(path)
    monkeypatch.setattr(csv_rows, "MOST_BYTES", 10)
    with pytest.raises(ReadingsError, match="too large"):
        read_readings(path)


def test_too_many_rows_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_rows, "MOST_ROWS", 3)
    with pytest.raises(ReadingsError, match="too many rows; accepted: at most 3"):
        parse_readings("command,angle_deg\n" + "1500,3\n" * 4, where="r.csv")


_CAPTIONS = st.text(st.characters(blacklist_categories=("Cs", "Cc", "Zl", "Zp")), max_size=40).map(str.strip)
_READINGS = st.builds(
    Reading,
    command=st.floats(-1e6, 1e6),
    angle_deg=st.floats(-36000, 36000),
    direction=st.sampled_from(Direction),
    cycle=st.none() | st.integers(0, 1_000_000),
    held=st.sampled_from(Held),
    note=_CAPTIONS,
    excluded=_CAPTIONS,
    kept=_CAPTIONS,
)


@given(st.lists(_READINGS, min_size=1, max_size=5), st.sampled_from(["", "one line", "two\nlines"]))
def test_what_is_written_is_read_back_the_same(readings: list[Reading], comment: str) -> None:
    assert parse_readings(format_readings(readings, comment=comment), where="r.csv") == tuple(readings)
