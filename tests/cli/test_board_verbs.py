"""The verbs calibrate and virtual-board, at the terminal."""

import io
import json
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from gaugecore.calibration.readings import Held, read_readings
from gaugecore.face.scale import angle_deg
from gaugecore.panel.store import load_panel
from needlewright.cli import calibrate, virtual_board
from needlewright.cli.main import main
from tests.board.boards import serving

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture
def panel(tmp_path):
    return Path(shutil.copy(SAMPLES / "ferry-bridge.panel.json", tmp_path))


@pytest.fixture(autouse=True)
def _only_these_verbs(monkeypatch):
    monkeypatch.setattr("needlewright.cli.main.VERBS", ("virtual_board", "calibrate"))


def run(capsys, *words):
    code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return code, out, err


def answers(tmp_path, text):
    path = tmp_path / "answers.txt"
    path.write_text(text, "utf-8")
    return path


def fuel_deg(panel, value):
    fuel = load_panel(panel).instrument("fuel")
    assert fuel is not None
    return angle_deg(fuel.face.scale, value)


FUEL = ("--instrument", "fuel", "--port", "virtual:?seed=3&pace=1000")


def test_observed_readings_are_fitted_and_stored(capsys, panel):
    code, out, _ = run(capsys, "calibrate", panel, *FUEL, "--observe", "--store", "--json")
    report = json.loads(out)
    assert code == 0
    assert (report["readings"], report["stored"], report["channel"]) == (21, True, 2)
    assert report["reversal_deg"] is not None
    fuel = load_panel(panel).instrument("fuel")
    assert fuel is not None
    assert fuel.calibration.fit is not None
    rows = read_readings(Path(report["out"]))
    assert fuel.calibration.sessions[-1].readings == rows
    assert "invented data" in Path(report["out"]).read_text("utf-8").splitlines()[0]


SCRIPT = """\
yes

ok
++
ok
-60
h
++
-55,5
u
=30
x 1 parallax
x 99 none
nonsense
j 5
s
40
"""


def test_a_scripted_talk_takes_readings_like_a_person(capsys, panel, tmp_path):
    out = tmp_path / "f.csv"
    code, text, talk = run(
        capsys, "calibrate", panel, *FUEL, "--answers", answers(tmp_path, SCRIPT), "--out", out
    )
    assert code == 0
    rows = read_readings(out)
    assert [row.angle_deg for row in rows] == pytest.approx([-60.0, fuel_deg(panel, 30), 40.0])
    assert [row.held for row in rows] == [Held.COMMAND, Held.COMMAND, Held.COMMAND]
    assert rows[0].excluded == "parallax"
    assert "Keep fingers, wires and tools out of its sweep" in talk
    assert "no such row, found 99" in talk
    assert "safe range 1000 to 2050, stored in the board" in text
    assert "no fit: too few readings" in text


RANGE = """\
yes

1200
-50
+12
5000
-9999
ok
ok
q
"""


def test_looking_for_the_range_a_signed_number_is_a_step_and_nothing_goes_beyond_the_movement(
    capsys, panel, tmp_path
):
    code, text, talk = run(
        capsys, "calibrate", panel, *FUEL, "--answers", answers(tmp_path, RANGE), "--out", tmp_path / "f.csv"
    )
    assert code == 0
    places = re.findall(r"At ([\d.]+) µs\.", talk)
    # each end is looked for from the board's own limit, or from the movement's
    assert places[1:6] == ["1200", "1150", "1162", "1162", "1162"]
    assert "5000 µs is beyond what the movement bears" in talk
    assert "nothing moved" in talk
    assert "safe range 1162 to" in text


def test_an_angle_no_needle_of_the_dial_can_have_is_no_reading(capsys, panel, tmp_path):
    out = tmp_path / "f.csv"
    script = answers(tmp_path, "yes\nk\n999\n-25\n")
    _, text, talk = run(capsys, "calibrate", panel, *FUEL, "--answers", script, "--out", out)
    assert "no needle of this dial stands there, found '999°'" in talk
    assert [row.angle_deg for row in read_readings(out)] == [-25.0]
    assert "to go on with them: the same command with --resume" in text


def test_a_jogged_reading_holds_the_angle(capsys, panel, tmp_path):
    out = tmp_path / "f.csv"
    script = answers(tmp_path, "yes\nk\n++\n-\nj 2.5\n=0\n")
    assert run(capsys, "calibrate", panel, *FUEL, "--answers", script, "--out", out)[0] == 0
    [row] = read_readings(out)
    assert row.held is Held.ANGLE
    assert row.angle_deg == fuel_deg(panel, 0)


def test_readings_come_from_standard_input_and_are_gone_on_with(capsys, panel, tmp_path, monkeypatch):
    out = tmp_path / "f.csv"
    given = ("calibrate", panel, "--instrument", "fuel", "--out", out, "--readings", 5)
    with serving("pace=1000&channels=3&needle=600,2400,90,-90") as server:
        monkeypatch.setattr(sys, "stdin", io.StringIO("yes\nk\n-25\n25\n"))
        assert run(capsys, *given, "--port", server.url)[0] == 0
        assert run(capsys, *given, "--port", server.url)[0] == 2  # the file is there already
        monkeypatch.setattr(sys, "stdin", io.StringIO("yes\n50\n0\n-50\nno\n"))
        code, text, _ = run(capsys, *given, "--port", server.url, "--resume")
    assert code == 0
    assert len(read_readings(out)) == 5
    assert "5 of 5 readings" in text
    assert f"fit not stored; to store it: needlewright fit {panel} --instrument fuel {out}" in text


def test_an_answer_that_is_no_text_is_asked_for_again(capsys, panel, tmp_path, monkeypatch):
    answers = io.TextIOWrapper(io.BytesIO(b"yes\nk\n12\xb0\n12\nq\n"), encoding="utf-8")
    monkeypatch.setattr("sys.stdin", answers)
    code, text, talk = run(capsys, "calibrate", panel, *FUEL, "--out", tmp_path / "f.csv")
    assert code == 0
    assert "a number    the dial angle the needle shows" in talk
    assert "fuel: 1 of 21 readings" in text


def test_to_store_what_cannot_be_fitted_is_refused_with_the_reason(capsys, panel, tmp_path):
    out, before = tmp_path / "f.csv", panel.read_bytes()
    script = answers(tmp_path, "yes\nk\n-25\n25\n")
    code, text, err = run(
        capsys, "calibrate", panel, *FUEL, "--answers", script, "--out", out, "--store", "--json"
    )
    assert (code, text) == (2, "")
    assert "nothing is stored in" in err.splitlines()[-1]
    assert "too few readings" in err
    assert f"the readings are kept in {out}" in err
    assert len(read_readings(out)) == 2
    assert panel.read_bytes() == before
    code, _, err = run(capsys, "calibrate", panel, *FUEL, "--answers", answers(tmp_path, ""), "--store")
    assert code == 2
    assert "no readings were taken" in err


def test_a_resumed_file_keeps_its_comments_and_must_be_of_the_same_plan(capsys, panel, tmp_path, monkeypatch):
    out = tmp_path / "f.csv"
    given = ("calibrate", panel, "--instrument", "fuel", "--out", out, "--resume")
    with serving("pace=1000&channels=3&needle=600,2400,90,-90") as server:
        monkeypatch.setattr(sys, "stdin", io.StringIO("yes\nk\n-25\n25\n"))
        assert run(capsys, *given, "--readings", 5, "--port", server.url)[0] == 0
        own = "# new horn, tighter screw\n"
        out.write_text(own + out.read_text("utf-8") + "# after lunch\n", "utf-8")
        before = out.read_bytes()
        monkeypatch.setattr(sys, "stdin", io.StringIO("yes\n50\n0\n-50\nno\n"))
        code, _, err = run(capsys, *given, "--readings", 9, "--port", server.url)
        assert code == 2
        assert "row 1 of the readings that are there is none of this plan, found" in err
        assert out.read_bytes() == before
        monkeypatch.setattr(sys, "stdin", io.StringIO("yes\n50\n0\n-50\nno\n"))
        assert run(capsys, *given, "--readings", 5, "--port", server.url)[0] == 0
    lines = [line for line in out.read_text("utf-8").splitlines() if line.startswith("#")]
    assert (lines[0], lines[2:]) == (own.strip(), ["# after lunch"])
    assert "Fuel" in lines[1]
    assert len(read_readings(out)) == 5


def test_what_the_needle_does_on_silence_is_stored_in_the_board(capsys, panel, tmp_path):
    with serving("pace=1000&channels=3&needle=600,2400,90,-90") as server:
        words = ("calibrate", panel, "--instrument", "fuel", "--port", server.url, "--observe", "--force")
        words += ("--out", tmp_path / "f.csv", "--range", "900", "2100")
        assert run(capsys, *words, "--watchdog", "3", "--on-silence", "1200")[0] == 0
        board = server.board
        assert (board.watchdog_ms, board.channels[2].storage.park) == (3000, 2400)
        assert run(capsys, *words, "--on-silence", "relax")[0] == 0
        assert (board.watchdog_ms, board.channels[2].storage.park) == (3000, None)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--watchdog", "61"), "the watchdog time, found '61'; accepted: 0.1 to 60 seconds"),
        (("--on-silence", "hold"), "what the needle does, found 'hold'"),
        (("--on-silence", "home"), "where to park, found 'home'; accepted: relax, or a command from 600"),
        (("--on-silence", "2600"), "where to park, found 2600"),
        (("--on-silence", "2200", "--range", "900", "2100"), "where to park, found 2200"),
        (("--on-silence", "rudder=1500"), "another dial is calibrated, found 'rudder'; accepted: fuel"),
    ],
)
def test_what_the_needle_cannot_do_on_silence_is_refused(capsys, panel, words, message):
    code, out, err = run(capsys, "calibrate", panel, *FUEL, "--observe", *words)
    assert (code, out) == (2, "")
    assert message in err
    assert len(err.splitlines()) == 1


class SlowTypist(io.StringIO):
    """Answers, of which the last one that matters takes its time."""

    def __init__(self, answers, pause_before, server):
        super().__init__()
        self.left, self.pause_before, self.server = answers, pause_before, server
        self.relaxed_meanwhile = False

    def readline(self, size=-1):
        answer = self.left.pop(0) if self.left else ""
        if answer == self.pause_before and not self.relaxed_meanwhile:
            for _ in range(500):
                if not self.server.board.channels[2].powered:
                    break
                time.sleep(0.01)
            self.relaxed_meanwhile = not self.server.board.channels[2].powered
        return answer


def test_at_an_unattended_prompt_the_needle_is_let_go_and_the_next_answer_wakes_it(
    capsys, panel, tmp_path, monkeypatch
):
    monkeypatch.setattr(calibrate, "IDLE_S", 0.2)
    out = tmp_path / "f.csv"
    with serving("pace=1000&channels=3&needle=600,2400,90,-90") as server:
        typist = SlowTypist(["yes\n", "k\n", "-25\n", "-26\n", "q\n"], "-25\n", server)
        monkeypatch.setattr(sys, "stdin", typist)
        words = ("calibrate", panel, "--instrument", "fuel", "--port", server.url, "--out", out)
        code, _, talk = run(capsys, *words)
    assert code == 0
    assert typist.relaxed_meanwhile
    assert "the needle is let go" in talk
    # what was typed while it hung was not read off the target
    assert "it was let go when nothing was asked" in talk
    assert [row.angle_deg for row in read_readings(out)] == [-26.0]


@pytest.mark.slow
def test_a_search_for_the_range_that_is_killed_leaves_the_board_its_narrow_limits(panel):
    with serving("channels=3&needle=600,2400,90,-90") as server:
        command = [sys.executable, "-m", "needlewright", "calibrate", panel, "--instrument", "fuel"]
        with subprocess.Popen(
            [*command, "--port", server.url, "--observe"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
        ) as process:
            channel = server.board.channels[2]
            while channel.storage.high <= 4000 and channel.storage.low >= 2000:
                assert process.poll() is None
                time.sleep(0.01)
            process.terminate()
            _, err = process.communicate(timeout=30)
        assert process.returncode == 2
        assert b"Traceback" not in err
        assert (channel.storage.low, channel.storage.high) == (2000, 4000)
        assert not channel.powered


def test_a_listen_port_in_use_is_refused_in_one_line(capsys):
    with serving() as server:
        code, out, err = run(capsys, "virtual-board", "--listen", f"127.0.0.1:{server.port}")
    assert (code, out) == (2, "")
    assert "cannot listen there" in err
    assert len(err.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ("--instrument", "depth", "--port", "virtual:"),
            "the panel has no such instrument, found 'depth'; accepted:",
        ),
        (("--port", "virtual:"), "which instrument?"),
        (("--instrument", "fuel", "--port", "virtual:", "--channel", "9"), "no such channel"),
        (("--instrument", "fuel", "--port", "virtual:?sead=1"), "no such option"),
        (
            ("--instrument", "fuel", "--port", "virtual:", "--range", "2000", "1000", "--observe"),
            "safe range",
        ),
        (("--instrument", "fuel", "--port", "virtual:", "--readings", "1", "--observe"), "readings"),
        (("--instrument", "fuel", "--port", "virtual:", "--answers", "/no/such"), "cannot read the answers"),
        (("--instrument", "fuel", "--port", "virtual:", "--out", "/no/such/r.csv"), "no such folder"),
        (("--instrument", "fuel", "--port", "virtual:", "--out", "a" * 300), "File name too long"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(capsys, panel, words, message):
    before = panel.read_bytes()
    code, out, err = run(capsys, "calibrate", panel, *words)
    assert (code, out) == (2, "")
    assert message in err
    assert len(err.splitlines()) == 1 or "Caution" in err
    assert panel.read_bytes() == before


def test_a_port_that_is_none_is_exit_3(capsys, panel):
    code, _, err = run(capsys, "calibrate", panel, "--instrument", "fuel", "--port", "/dev/no-such-port")
    assert code == 3
    assert err.startswith("needlewright: /dev/no-such-port: cannot open the port")
    assert len(err.splitlines()) == 1


def test_only_a_virtual_board_has_an_eye(capsys, panel, monkeypatch):
    from gaugecore.board.board import Board

    identity = Board.identity.fget
    assert identity is not None

    def real(self):
        from dataclasses import replace

        return replace(identity(self), virtual=False)

    monkeypatch.setattr(Board, "identity", property(real))
    code, _, err = run(capsys, "calibrate", panel, *FUEL, "--observe")
    assert code == 2
    assert "only a virtual board has an eye" in err


@pytest.mark.slow
def test_a_virtual_board_says_where_it_is_and_stops_on_ctrl_c():
    command = [
        sys.executable,
        "-m",
        "needlewright",
        "virtual-board",
        "--json",
        "--seed",
        "4",
        "--channels",
        "2",
    ]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        report = json.loads(process.stdout.readline())
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=20)
    assert report["url"] == f"socket://127.0.0.1:{report['port']}"
    assert report["channels"] == 2
    assert (process.returncode, out, err) == (0, "", "")


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (("--listen", "nowhere"), 2, "where to listen"),
        (("--listen", "127.0.0.1:99999"), 2, "where to listen"),
        (("--listen", "256.0.0.1:0"), 2, "cannot listen there"),
        (("--listen", "ä" * 70 + ":0"), 2, "cannot listen there"),
        (("--seed", "x"), 2, "option seed"),
        (("--misbehave", "drip=1"), 2, "found 'drip=1'"),
        (("--needle", "1,2"), 2, "four or five numbers"),
    ],
)
def test_a_virtual_board_that_cannot_be_is_refused(capsys, words, code, message):
    found, _, err = run(capsys, "virtual-board", *words)
    assert found == code
    assert message in err


def test_the_verbs_have_summaries():
    assert calibrate.__doc__
    assert virtual_board.__doc__
