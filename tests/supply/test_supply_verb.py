"""The verb `supply`: states beside limits, the meter beside them, a picture, figures taken over."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.errors import OutputError
from gaugecore.movement.servo import Servo
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import load_panel, save_panel
from gaugecore.supply.leds import LedString
from gaugecore.supply.meter import MeterReading, State, When
from gaugecore.supply.source import Load, Supply
from gaugecore.supply.wires import Wire
from needlewright.cli.main import main

MEASURED = (
    MeterReading(state=State.ALL_OFF, current_ma=80.0),
    MeterReading(state=State.ALL_OFF, only="back-light", current_ma=97.0),
    MeterReading(state=State.LAMP_TEST, current_ma=114.0),
    MeterReading(state=State.ONE_MOVING, current_ma=136.0),
)


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """Return the ferry's desk as a panel file: common practice, no source, in our own scenario."""
    panel = starter_panel("Ferry desk")
    supply = Supply(
        loads=(Load(name="board", current_ma=70.0),),
        led_strings=(
            LedString(name="back-light", when=When.BACK_LIGHT, forward_v=2.0),
            LedString(name="bilge lamp", forward_v=2.0),
        ),
        measured=MEASURED,
    )
    instrument = panel.instruments[0].model_copy(update={"movement": Servo(moving_ma=30.0)})
    path = tmp_path / "desk.panel.json"
    save_panel(panel.model_copy(update={"supply": supply}).with_instrument(instrument), path)
    return path


def test_the_states_stand_beside_the_limit_and_the_meter(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["supply", str(desk)]) == 0
    out = capsys.readouterr().out
    assert "usb2, 5 V, at most 500 mA" in out
    assert "one-moving        140 mA      483 mA     136 mA" in out
    assert "refit supply.led_strings.0.forward_v: 2 -> 2.45 V" in out
    assert "Local electrical rules come first. Not for use in a real aircraft, vehicle or vessel." in out


def test_the_movements_own_supply_has_its_worst_case_too(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = load_panel(desk)
    apart = panel.supply.model_copy(update={"movements_apart": True, "movements_limit_ma": 600.0})
    save_panel(panel.model_copy(update={"supply": apart}), desk)
    assert main(["supply", str(desk)]) == 1
    out = capsys.readouterr().out
    # a servo of 30 mA moving and 700 mA stalled: at worst half way between (the movement's own convention)
    assert "one-moving        110 mA      118 mA     136 mA       30 mA      365 mA" in out
    assert "at most 600 mA" in out


def test_every_string_and_wire_is_said_with_its_figures(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel = load_panel(desk)
    strings = (LedString(name="deck lamps", resistor_ohm=145.0, count=3, duty=0.5),)
    wires = (
        Wire(name="to the servos", length_m=2.0, awg=30, current_ma=700.0),
        Wire(name="to the lamps", length_m=0.5, awg=24, current_ma=100.0),
    )
    supply = panel.supply.model_copy(update={"led_strings": strings, "wires": wires, "measured": ()})
    save_panel(panel.model_copy(update={"supply": supply}), desk)
    main(["supply", str(desk)])
    out = capsys.readouterr().out
    # (5 V - 2 V) / 145 ohm = 20.69 mA, (20.69 mA)^2 * 145 ohm = 62 mW, 3 strings half the time = 31.0 mA
    assert (
        "string deck lamps: 1 LED of 2 V and 145 Ω carry 20.7 mA, 62 mW in the resistor; 3 of them, on "
        "50 % of the time: mean 31.0 mA" in out
    )
    # next values: 150 in E12 and E24 (20.0 mA, 60 mW), 147 in E96 (20.4 mA, 61 mW)
    assert (
        "next values: E12 150 Ω (20.0 mA, 60 mW), E24 150 Ω (20.0 mA, 60 mW), E96 147 Ω (20.4 mA, 61 mW)"
        in out
    )
    # 4 m of 338.6 mOhm/m at 0.7 A; 1 m of 84.2 mOhm/m at 0.1 A (a university's table of wire)
    assert "wire to the servos: 4.05 V at the far end at 700 mA, 0.95 V lost, and 4.5 V are wanted" in out
    assert "wire to the lamps: 4.99 V at the far end at 100 mA, 0.01 V lost\n" in out
    main(["supply", str(desk), "--led-ma", "5", "--json"])
    report = json.loads(capsys.readouterr().out)
    chosen = report["strings"][0]["resistors"]
    assert (chosen["E12"]["ohm"], chosen["E24"]["ohm"], chosen["E96"]["ohm"]) == (680.0, 620.0, 604.0)
    assert chosen["E12"]["current_ma"] == pytest.approx(3.0 / 0.68)
    assert report["wires"][0]["far_v"] == pytest.approx(4.05, abs=0.005)


def test_a_current_that_no_led_has_is_refused(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for word in ("0", "-3", "nan", "inf"):
        assert main(["supply", str(desk), "--led-ma", word]) == 2
        assert "--led-ma: an LED needs a current, found" in capsys.readouterr().err


def test_a_dark_lamp_is_not_taken_over(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    panel = load_panel(desk)
    supply = panel.supply.model_copy(
        update={
            "led_strings": (LedString(name="bilge lamp", count=2),),
            "measured": (
                MeterReading(state=State.ALL_OFF, current_ma=80.0),
                MeterReading(state=State.LAMP_TEST, current_ma=100.0),
            ),
        }
    )
    save_panel(panel.model_copy(update={"supply": supply}), desk)
    before = desk.read_bytes()
    assert main(["supply", str(desk), "--take-over"]) == 0
    out = capsys.readouterr().out
    assert "as if one of two 'bilge lamp' were dark" in out
    assert "the meter corrects nothing: nothing was stored" in out
    assert desk.read_bytes() == before


def test_a_refused_take_over_leaves_no_picture(
    desk: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def other_program(*_: object) -> None:
        raise OutputError("another program changed the file", where=str(desk))

    monkeypatch.setattr("needlewright.cli.supply.save_over", other_program)
    picture = desk.parent / "supply.svg"
    assert main(["supply", str(desk), "--take-over", "--plot", str(picture)]) == 2
    assert not picture.exists()
    picture.write_bytes(b"mine")
    assert main(["supply", str(desk), "--take-over", "--plot", str(picture), "--force"]) == 2
    assert picture.read_bytes() == b"mine"
    assert capsys.readouterr().err.count("another program") == 2


def test_the_same_as_one_json_object(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["supply", str(desk), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert [state["state"] for state in report["states"]] == [state.value for state in State]
    assert report["limit_ma"] == 500.0
    assert report["refit"][0]["after"] == pytest.approx(2.45)
    assert "common ground" in report["caution"]


def test_figures_are_taken_over_and_then_agree(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["supply", str(desk), "--take-over"]) == 0
    panel = load_panel(desk)
    assert panel.supply.led_strings[0].forward_v == pytest.approx(2.45)
    assert panel.instruments[0].movement.moving_ma == pytest.approx(32.0)
    capsys.readouterr()
    assert main(["supply", str(desk), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["refit"] == []
    by_state = {state["state"]: state["typical_ma"] for state in report["states"]}
    assert 130.0 <= by_state["one-moving"] <= 140.0


@pytest.mark.slow
@pytest.mark.parametrize("ending", ["png", "pdf", "svg"])
def test_the_picture_is_written_whole_and_never_over_one(
    desk: Path, ending: str, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = desk.parent / f"supply.{ending}"
    assert main(["supply", str(desk), "--plot", str(picture)]) == 0
    before = picture.read_bytes()
    assert main(["supply", str(desk), "--plot", str(picture)]) == 2
    assert "the file is there already" in capsys.readouterr().err
    assert main(["supply", str(desk), "--plot", str(picture), "--force"]) == 0
    assert picture.read_bytes() == before


def test_a_picture_of_another_kind_is_refused(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["supply", str(desk), "--plot", "supply.gif"]) == 2
    assert capsys.readouterr().err == (
        "needlewright: --plot: the picture's kind is told by its ending, found 'supply.gif'; "
        "accepted: .png, .pdf, .svg\n"
    )


def test_an_overload_ends_with_exit_code_1(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    panel = load_panel(desk)
    heavy = panel.supply.model_copy(update={"loads": (Load(name="board", current_ma=600.0),), "measured": ()})
    save_panel(panel.model_copy(update={"supply": heavy}), desk)
    assert main(["supply", str(desk)]) == 1
    assert "fault: supply.source" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ('"resistor_ohm": 150.0', '"resistor_ohm": 0', "supply.led_strings.0.resistor_ohm"),
        ('"current_ma": 70.0', '"current_ma": -70', "supply.loads.0.current_ma"),
        ('"source": "usb2"', '"source": "mains"', "supply.source"),
    ],
)
def test_a_supply_that_makes_no_sense_is_refused_in_one_line(
    desk: Path, before: str, after: str, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    desk.write_text(desk.read_text("utf-8").replace(before, after, 1), "utf-8")
    assert main(["supply", str(desk)]) == 2
    err = capsys.readouterr().err
    assert says in err
    assert err.count("\n") == 1
