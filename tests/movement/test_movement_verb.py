"""The verb `movement`: what a movement makes of its needle, in text, JSON and a picture."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.movement.servo import Servo
from gaugecore.movement.train import CrankLink
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import load_panel, save_panel
from needlewright.cli.main import main


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """Return a panel file with one instrument, dial-1."""
    path = tmp_path / "desk.panel.json"
    save_panel(starter_panel("Ferry desk"), path)
    return path


def traced(desk: Path, text: str) -> str:
    path = desk.parent / "trace.csv"
    path.write_text(text, "utf-8")
    return str(path)


def test_it_says_reach_torque_pointing_and_what_would_fit(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["movement", str(desk)]) in (0, 1)
    out = capsys.readouterr().out
    for word in ("reach", "pointer", "torque", "speed", "pointing", "would fit", "response", "Keep fingers"):
        assert word in out


def test_the_same_as_one_json_object_with_a_trace(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    field = load_panel(desk).instruments[0].raw.field or "dial-1"
    trace = traced(desk, f"# a crossing\ntime_s,{field}\n0,0\n2,30000\n4,10000\n6,10000\n")
    main(["movement", str(desk), "--instrument", "dial-1", "--trace", trace, "--filter", "0.1", "--json"])
    (report,) = json.loads(capsys.readouterr().out)["instruments"]
    assert report["response"]["lag_s"] > 0.1
    assert report["expected_error_deg"]["per direction"] < report["expected_error_deg"]["none"]
    assert report["pointer"]["mass_g"] > 0.0


@pytest.mark.slow
def test_the_response_is_drawn(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture = desk.parent / "response.svg"
    assert main(["movement", str(desk), "--instrument", "dial-1", "--plot", str(picture)]) in (0, 1)
    assert picture.read_bytes().startswith(b"<?xml")
    assert str(picture) in capsys.readouterr().out


def test_a_short_movement_ends_with_exit_code_1_and_a_gear_is_named(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = load_panel(desk)
    short = panel.instruments[0].model_copy(update={"movement": Servo(travel_deg=60.0)})
    save_panel(panel.with_instrument(short), desk)
    assert main(["movement", str(desk)]) == 1
    assert "gear " in capsys.readouterr().out


def test_a_jamming_link_is_a_fault_and_no_traceback(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    panel = load_panel(desk)
    jams = CrankLink(ground_mm=40.0, crank_mm=20.0, link_mm=40.0, arm_mm=10.0)
    save_panel(panel.with_instrument(panel.instruments[0].model_copy(update={"train": jams})), desk)
    assert main(["movement", str(desk)]) == 1
    assert "the train jams" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time_s,other\n0,1\n", "no column for the instrument, found 'time_s, other'; accepted: dial-1"),
        ("time_s,dial-1\n0,1\n1,x\n", "row 2: column dial-1, found 'x'"),
        ("time_s,dial-1\n1,1\n0,1\n", "row 2, column time_s, found '0'; accepted: times that never fall"),
        ("time_s,dial-1\n0,1\n1,\n", "a trace needs as many angles as times, at least two"),
        ("time_s,dial-1\n0,\n1,\n", "a trace needs as many angles as times, at least two"),
        ("", "the recording's header"),
    ],
)
def test_a_trace_that_cannot_be_used_is_refused_in_one_line(
    desk: Path, text: str, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["movement", str(desk), "--instrument", "dial-1", "--trace", traced(desk, text)]) == 2
    err = capsys.readouterr().err
    assert says in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--instrument", "none"], "the panel has no such instrument"),
        (["--tilt", "500"], "--tilt: the tilt is out of range, found 500.0"),
        (["--plot", "x.bmp"], "the picture's kind is told by its ending"),
        (["--instrument", "dial-1", "--trace", "nowhere.csv"], "cannot read the recording"),
    ],
)
def test_bad_words_are_refused_in_one_line(
    desk: Path, words: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["movement", str(desk), *words]) == 2
    err = capsys.readouterr().err
    assert says in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("part", "changed", "says"),
    [
        ("movement", {"travel_deg": 0.0}, "movement.travel_deg: must be greater than 0, found 0.0"),
        (
            "movement",
            {"torque_mnm": -150.0},
            "movement.torque_mnm: must be greater than 0, found -150.0",
        ),
        ("pointer", {"counterweight_g": -1.0}, "pointer.counterweight_g: must be greater than or equal to 0"),
        ("pointer", {"density_kg_m3": 0.0}, "pointer.density_kg_m3: must be greater than 0, found 0.0"),
        (
            "train",
            {"kind": "crank_link", "ground_mm": 90.0, "crank_mm": 10.0, "link_mm": 20.0, "arm_mm": 10.0},
            "cannot be assembled: ground_mm 90 mm is not shorter than the other three together, 40 mm",
        ),
        ("train", {"kind": "gear_pair", "ratio": -1.0}, "must be greater than 0, found -1.0"),
        ("train", {"kind": "belt"}, "train"),
    ],
)
def test_a_panel_that_makes_no_sense_is_refused_in_one_line_that_says_where(
    desk: Path,
    part: str,
    changed: dict[str, object],
    says: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    document = json.loads(desk.read_text("utf-8"))
    instrument = document["instruments"][0]
    instrument[part] = changed if part == "train" else instrument[part] | changed
    desk.write_text(json.dumps(document), "utf-8")
    for verb in ("movement", "check"):
        assert main([verb, str(desk)]) == 2
        err = capsys.readouterr().err
        assert says in err
        assert "instruments.0" in err or "instruments.dial-1" in err
        assert err.count("\n") == 1


def test_another_movement_is_tried_without_touching_the_panel(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = desk.read_bytes()
    main(["movement", str(desk), "--like", "gauge-stepper-315", "--json"])
    (report,) = json.loads(capsys.readouterr().out)["instruments"]
    assert report["reach_deg"] == pytest.approx(315.0)
    assert desk.read_bytes() == before


def test_a_movement_is_stored_and_remembered_for_other_panels(
    desk: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(desk.parent))
    assert main(["movement", str(desk), "--like", "servo-standard", "--store", "--remember"]) in (0, 1)
    assert load_panel(desk).instruments[0].movement.name == "standard servo"
    assert main(["movement", str(desk), "--like", "standard servo", "--store"]) in (0, 1)
    capsys.readouterr()
    assert main(["movement", str(desk), "--like", "sundial"]) == 2
    said = capsys.readouterr().err
    assert "there is no such movement, found 'sundial'; accepted: standard servo, servo-9g-analogue" in said


def test_storing_nothing_is_refused(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["movement", str(desk), "--store"]) == 2
    assert (
        "there is nothing to store; accepted: --like NAME or --train KIND beside it"
        in capsys.readouterr().err
    )
