"""The verb `fit`, run as a user runs it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.calibration.readings import format_readings
from gaugecore.panel.document import Panel
from gaugecore.panel.store import load_panel, save_panel
from needlewright.cli.main import main
from tests.calibration.sweeps import sweep, with_angle

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture
def readings_csv(tmp_path: Path) -> Path:
    path = tmp_path / "dial.csv"
    path.write_text(format_readings(sweep(16)), encoding="utf-8")
    return path


def test_it_prints_a_report_and_writes_fit_and_picture(
    readings_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, plot = tmp_path / "fit.json", tmp_path / "fit.svg"
    assert main(["fit", str(readings_csv), "--out", str(out), "--plot", str(plot)]) == 0
    assert "31 readings" in capsys.readouterr().out
    assert json.loads(out.read_text())["kind"] == "servo"
    assert plot.read_bytes().startswith(b"<?xml")
    before = out.read_bytes()
    assert main(["fit", str(readings_csv), "--out", str(out)]) == 2
    assert "the file is there already" in capsys.readouterr().err
    assert out.read_bytes() == before
    assert main(["fit", str(readings_csv), "--out", str(out), "--force"]) == 0


def test_json_is_one_object_with_the_fields_of_the_contract(
    readings_csv: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["fit", str(readings_csv), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert list(report) == [
        "kind", "command_range", "angle_range_deg", "knots", "reversal_deg", "repeatability_deg",
        "suspect_rows", "figures", "warnings",
    ]  # fmt: skip
    assert list(report["knots"]) == ["angle_deg", "command_up", "command_down", "standard_uncertainty_deg"]
    assert len(report["knots"]["angle_deg"]) >= 33


def _panel_copy(tmp_path: Path) -> Path:
    path = tmp_path / "ferry.panel.json"
    path.write_bytes((SAMPLES / "ferry-bridge.panel.json").read_bytes())
    return path


@pytest.mark.parametrize("order", ["after the id", "before the id"])
def test_the_second_form_keeps_readings_and_fit_as_a_new_session(
    order: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = _panel_copy(tmp_path)
    before = len(load_panel(panel).instrument("rudder").calibration.sessions)  # type: ignore[union-attr]
    readings = str(SAMPLES / "ferry-bridge.rudder.readings.csv")
    words = (
        ["--instrument", "rudder", readings]
        if order == "after the id"
        else [readings, "--instrument", "rudder"]
    )
    assert main(["fit", str(panel), *words]) in (0, 1)
    sessions = load_panel(panel).instrument("rudder").calibration.sessions  # type: ignore[union-attr]
    assert len(sessions) == before + 1
    assert sessions[-1].fit is not None
    assert len(sessions[-1].readings) == 31
    assert "as a new session of rudder" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["{csv}", "{csv}"], "without --instrument there is one file to fit"),
        (["{panel}", "--instrument", "rudder"], "with --instrument there are a panel and a readings file"),
        (["{panel}", "--instrument", "tiller", "{csv}"], "the panel has no such instrument, found 'tiller'"),
        (["{csv}", "--pairs"], "--pairs needs the panel"),
        (
            ["{csv}", "--plot", "a.gif"],
            "the picture's kind is told by its ending, found 'a.gif'; accepted: .png, .pdf, .svg",
        ),
        (["nothing.csv"], "nothing.csv: cannot read the file"),
        (["{csv}", "--kind", "rocket"], "invalid choice"),
    ],
)
def test_bad_usage_is_refused_in_one_line(
    words: list[str], says: str, readings_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = _panel_copy(tmp_path)
    before = panel.read_bytes()
    assert main(["fit", *(word.format(csv=readings_csv, panel=panel) for word in words)]) == 2
    said = capsys.readouterr().err
    assert says in said
    assert said.count("\n") == 1
    assert panel.read_bytes() == before


def test_pairs_of_raw_value_and_command_are_fitted_for_an_instrument(tmp_path: Path) -> None:
    panel = _panel_copy(tmp_path)
    raw = load_panel(panel).instrument("rudder").raw  # type: ignore[union-attr]
    span = raw.high - raw.low
    steps = [raw.low + span * k // 10 for k in range(11)]
    rows = [f"{r},{2300 - 1500 * k / 10},up" for k, r in enumerate(steps)]
    rows += [f"{r},{2320 - 1500 * k / 10},down" for k, r in reversed(list(enumerate(steps)))]
    pairs = tmp_path / "pairs.csv"
    pairs.write_text("raw,command,direction\n" + "\n".join(rows) + "\n")
    assert main(["fit", str(panel), "--instrument", "rudder", str(pairs), "--pairs"]) in (0, 1)
    fit = load_panel(panel).instrument("rudder").calibration.fit  # type: ignore[union-attr]
    assert fit is not None
    assert fit.angle_range_deg == pytest.approx((-105.0, 105.0), abs=50)


def test_a_stored_panel_stays_untouched_when_the_readings_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel, few = _panel_copy(tmp_path), tmp_path / "few.csv"
    few.write_text(format_readings(sweep()[:3]))
    before = panel.read_bytes()
    assert main(["fit", str(panel), "--instrument", "rudder", str(few)]) == 2
    assert "too few readings" in capsys.readouterr().err
    assert panel.read_bytes() == before


def test_the_report_says_which_rows_to_read_again_and_what_a_wanted_accuracy_takes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    slipped = tmp_path / "slipped.csv"
    slipped.write_text(format_readings(with_angle(sweep(), 4, 80.0)))
    assert main(["fit", str(slipped)]) == 0
    said = capsys.readouterr().out
    assert "read again: 1300 µs up; note them as cycle 2" in said
    assert "enough" not in said
    assert main(["fit", str(slipped), "--wanted", "0.56"]) == 0
    assert "half of such drives reach it with 29 readings, these are 21" in capsys.readouterr().out
    assert main(["fit", str(slipped), "--wanted", "5"]) == 0
    assert "enough: the band is" in capsys.readouterr().out
    assert main(["fit", str(slipped), "--wanted", "0.01", "--json"]) == 0
    steps = json.loads(capsys.readouterr().out)["next"]
    assert steps["enough"] is False
    assert steps["readings_usually"] is None
    assert steps["again"] == [[1300.0, "up", 2]]


def test_a_fit_is_compared_with_an_earlier_one_from_a_file(
    readings_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, moved = tmp_path / "old.json", tmp_path / "moved.csv"
    assert main(["fit", str(readings_csv), "--out", str(old)]) == 0
    moved.write_text(
        format_readings(
            tuple(r.model_copy(update={"angle_deg": r.angle_deg + 4.0}) for r in sweep(16, seed=2))
        )
    )
    capsys.readouterr()
    assert main(["fit", str(moved), "--against", str(old)]) == 0
    said = capsys.readouterr().out
    assert f"against {old}" in said
    assert "more than chance" in said
    assert "reversal has changed by" in said
    assert main(["fit", str(readings_csv), "--against", str(old), "--json"]) == 0
    comparison = json.loads(capsys.readouterr().out)["comparison"]
    assert comparison["largest_change_deg"] == 0.0
    assert comparison["more_than_chance"] is False


def test_a_fit_is_compared_with_a_session_of_the_panel(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = _panel_copy(tmp_path)
    readings = str(SAMPLES / "ferry-bridge.rudder.readings.csv")
    assert main(["fit", str(panel), "--instrument", "rudder", readings]) in (0, 1)
    number = len(load_panel(panel).instrument("rudder").calibration.sessions)  # type: ignore[union-attr]
    words = ["fit", str(panel), "--instrument", "rudder", readings, "--against"]
    capsys.readouterr()
    assert main([*words, str(number)]) in (0, 1)
    assert f"against session {number}" in capsys.readouterr().out
    before = panel.read_bytes()
    assert main([*words, "99"]) == 2
    assert "--against: rudder has no session with a fit under this number" in capsys.readouterr().err
    assert panel.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--wanted", "0"], "no such accuracy, found '0°'"),
        (["--wanted", "nan"], "no such accuracy"),
        (["--against", "nothing.json"], "nothing.json: cannot read the file"),
        (["--against", "{csv}"], "not a usable fit"),
        (["--against", "2"], "2: cannot read the file"),
        (["--limits", "2400", "600"], "--limits: limits, found '2400 600'; accepted: the lower one first"),
        (["--limits", "nan", "600"], "the lower one first"),
        (["--plot", "{there}"], "the file is there already"),
    ],
)
def test_bad_comparisons_and_wishes_are_refused_and_nothing_is_written(
    words: list[str], says: str, readings_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "fit.json"
    there = tmp_path / "elsewhere" / "fit.svg"
    there.parent.mkdir()
    there.write_bytes(b"mine")
    words = [word.format(csv=readings_csv, there=there) for word in words]
    assert main(["fit", str(readings_csv), "--out", str(out), *words]) == 2
    said = capsys.readouterr().err
    assert says in said
    assert said.count("\n") == 1
    assert not out.exists()
    assert there.read_bytes() == b"mine"


def test_too_few_rows_are_refused_with_the_file_and_how_many_the_limits_left_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "dial.csv"
    path.write_text(format_readings(sweep(16)), encoding="utf-8")
    assert main(["fit", str(path), "--limits", "1000", "1100"]) == 2
    said = capsys.readouterr().err
    assert f"{path}: too few readings for a fit (27 rows outside the limits of the movement, " in said
    assert "1000 to 1100 µs, left out), found '4 that count'; accepted: at least 5" in said
    panel = _panel_copy(tmp_path)
    short = tmp_path / "short.csv"
    short.write_text("command,angle_deg\n100,0\n1500,10\n1600,20\n", encoding="utf-8")
    assert main(["fit", str(panel), "--instrument", "rudder", str(short)]) == 2
    said = capsys.readouterr().err
    assert f"{short}: too few readings for a fit (1 row outside the limits of the movement" in said


@pytest.mark.parametrize(
    ("comment", "words", "day"),
    [
        ("", [], None),
        ("rudder, 2026-03-14", [], "2026-03-14"),
        ("rudder, 2026-03-14", ["--taken-on", "2026-02-01"], "2026-02-01"),
        ("", ["--taken-on", "2026-02-01"], "2026-02-01"),
    ],
)
def test_a_session_is_of_the_day_that_somebody_said_and_of_no_other(
    tmp_path: Path, comment: str, words: list[str], day: str | None
) -> None:
    panel, path = _panel_copy(tmp_path), tmp_path / "dial.csv"
    path.write_text(format_readings(sweep(16), comment=comment), encoding="utf-8")
    main(["fit", str(panel), "--instrument", "rudder", str(path), *words])
    rudder = load_panel(panel).instrument("rudder")
    assert rudder is not None
    assert rudder.calibration.sessions[-1].taken_on == day


@pytest.mark.parametrize("day", ["yesterday", "2026-02-30", "20260301", "2026-W10-1"])
def test_a_day_that_is_none_is_refused_before_anything_is_fitted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], day: str
) -> None:
    panel, path = _panel_copy(tmp_path), tmp_path / "dial.csv"
    path.write_text(format_readings(sweep(16)), encoding="utf-8")
    before = panel.read_bytes()
    assert main(["fit", str(panel), "--instrument", "rudder", str(path), "--taken-on", day]) == 2
    assert "--taken-on: not a day" in capsys.readouterr().err
    assert panel.read_bytes() == before


def test_a_day_without_a_panel_is_refused(readings_csv: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", str(readings_csv), "--taken-on", "2026-02-01"]) == 2
    assert "only a panel keeps the day" in capsys.readouterr().err


def test_an_empty_panel_is_refused_in_a_sentence_that_can_be_read(
    tmp_path: Path, readings_csv: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = tmp_path / "empty.panel.json"
    save_panel(Panel(title="Empty"), panel)
    for words in (["fit", str(panel), "--instrument", "rudder", str(readings_csv)], ["table", str(panel)]):
        assert main(words) == 2
        said = capsys.readouterr().err
        assert f"{panel}: the panel has no instrument yet; accepted: a panel with at least one" in said
