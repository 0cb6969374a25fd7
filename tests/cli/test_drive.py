"""The verbs drive and upload, at the terminal."""

import json
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from gaugecore.board.board import Board
from gaugecore.board.stored_table import StoredTable
from gaugecore.feed.recording import read_recording
from gaugecore.panel.driven_dial import driven_dials
from gaugecore.panel.store import load_panel
from needlewright.cli.main import main
from tests.board.boards import QUICK, serving

QUICK_BOARD = "virtual:?seed=1&pace=1000"
SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(autouse=True)
def _only_these_verbs(monkeypatch):
    monkeypatch.setattr("needlewright.cli.main.VERBS", ("calibrate", "upload", "drive"))


@pytest.fixture(scope="module")
def calibrated(tmp_path_factory):
    """The ferry's desk with rudder and fuel calibrated, the shaft speed not yet."""
    panel = Path(shutil.copy(SAMPLES / "ferry-bridge.panel.json", tmp_path_factory.mktemp("p")))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("needlewright.cli.main.VERBS", ("calibrate",))
        for dial in ("rudder", "fuel"):
            words = ["calibrate", panel, "--instrument", dial, "--port", "virtual:?seed=1&pace=1000"]
            assert main([str(word) for word in [*words, "--observe", "--store", "--json"]]) == 0
    return panel


def run(capsys, *words):
    capsys.readouterr()
    code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_signal_moves_the_calibrated_needles_and_is_recorded(capsys, calibrated, tmp_path):
    recording = tmp_path / "r.csv"
    code, out, _ = run(
        capsys, "drive", calibrated, "--port", QUICK_BOARD, "--feed", "signal:sine?period=0.4",
        "--for", "0.5", "--record", recording, "--json",
    )  # fmt: skip
    report = json.loads(out)
    assert code == 0
    assert [dial["id"] for dial in report["dials"]] == ["rudder", "fuel"]
    assert report["without_fit"] == ["shaft-speed"]
    assert report["requests"] > 4
    assert report["latency_ms"]["median"] is not None
    assert read_recording(recording).names == ("rudder", "fuel")
    code, text, _ = run(
        capsys,
        "drive",
        calibrated,
        "--port",
        "virtual:?seed=1&pace=1000",
        "--feed",
        recording,
        "--speed",
        "4",
    )
    assert code == 0
    assert "2 dials driven" in text
    assert "left out, not calibrated yet: shaft-speed" in text


def test_values_under_other_names_are_told_from_those_awaited(capsys, calibrated, tmp_path):
    recording = tmp_path / "other.csv"
    recording.write_text("time_s,rudder,fuel_pct,oil\n0,100,50,1\n0.1,120,51,2\n", "utf-8")
    given = ("drive", calibrated, "--port", QUICK_BOARD, "--feed", recording)
    code, text, _ = run(capsys, *given)
    assert code == 0
    assert "no value came for: fuel\n" in text
    assert "came, and is followed by no dial: fuel_pct, oil\n" in text
    report = json.loads(run(capsys, *given, "--json")[1])
    assert (report["awaited"], report["unused"]) == (["fuel"], ["fuel_pct", "oil"])


def test_datagrams_move_the_needle_to_where_the_dial_says(capsys, calibrated):
    """End to end: a datagram in, the needle's hidden truth out, as a calibrated cheap servo can do it."""
    with serving(_needles(calibrated)) as server, socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        stop = threading.Event()
        truths = []

        def send():
            while not stop.is_set():
                sender.sendto(b"rudder=49151 fuel=0", ("127.0.0.1", port))  # three quarters of its range
                time.sleep(0.02)

        def watch():
            channel = server.board.channels[0]
            while not stop.is_set():
                if channel.powered and channel.last_command:
                    truths.append(channel.movement.needle_deg(time.monotonic() * server.board.pace))
                time.sleep(0.05)

        threads = [threading.Thread(target=send), threading.Thread(target=watch)]
        for thread in threads:
            thread.start()
        try:
            code, _, err = run(
                capsys, "drive", calibrated, "--port", server.url, "--feed", f"udp://:{port}", "--for", "1",
                "--set-limits",
            )  # fmt: skip
        finally:
            stop.set()
            for thread in threads:
                thread.join()
        assert code == 0
        assert f"listening on udp://127.0.0.1:{port}" in err
        panel = json.loads(calibrated.read_text("utf-8"))
        scale = panel["instruments"][0]["face"]["scale"]
        wanted = scale["low_deg"] + 0.75 * (scale["high_deg"] - scale["low_deg"])
        assert any(abs(truth - wanted) < 2.0 for truth in truths)


def _needles(panel):
    from gaugecore.panel.needle_of import port_for
    from gaugecore.panel.store import load_panel

    return port_for("virtual:?seed=1&pace=1000", load_panel(panel)).removeprefix("virtual:?")


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (
            ("--port", "virtual:", "--feed", "tcp://x"),
            2,
            "no such feed, found 'tcp://x'; accepted: udp://HOST",
        ),
        (("--port", "virtual:", "--feed", "none.csv"), 2, "cannot read the recording"),
        (("--port", "virtual:", "--feed", "signal:sine", "--for", "0"), 2, "how long"),
        (("--port", "virtual:", "--feed", "signal:sine", "--rate", "0"), 2, "rounds a second"),
        (("--port", "virtual:", "--feed", "signal:sine", "--record", "/no/such/r.csv"), 2, "cannot record"),
        (("--port", "/dev/no-such-port", "--feed", "signal:sine"), 3, "cannot open the port"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(capsys, calibrated, words, code, message):
    found, out, err = run(capsys, "drive", calibrated, *words)
    assert (found, out) == (code, "")
    assert message in err
    assert len(err.splitlines()) == 1


def test_a_feed_s_port_in_use_is_refused_in_one_line(capsys, calibrated):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("127.0.0.1", 0))
        url = f"udp://127.0.0.1:{other.getsockname()[1]}"
        code, out, err = run(capsys, "drive", calibrated, "--port", "virtual:", "--feed", url)
    assert (code, out) == (2, "")
    assert "cannot listen for datagrams" in err
    assert len(err.splitlines()) == 1


def test_a_panel_without_a_fit_is_refused(capsys):
    panel = SAMPLES / "flap-indicator.panel.json"
    code, _, err = run(capsys, "drive", panel, "--port", "virtual:", "--feed", "signal:sine")
    if code == 2:
        assert "no instrument of the panel has a fit yet" in err


def test_narrow_limits_are_a_refusal_unless_asked(capsys, calibrated):
    with serving(_needles(calibrated)) as server:
        words = ("drive", calibrated, "--port", server.url, "--feed", "signal:sine", "--for", "0.1")
        code, _, err = run(capsys, *words)
        assert code == 2
        assert "the limits stored in the board are too narrow for rudder" in err
        assert run(capsys, *words, "--set-limits")[0] == 0


def test_a_scale_beyond_the_calibrated_arc_is_refused_by_both_verbs_unless_clamped(
    capsys, calibrated, tmp_path
):
    panel = tmp_path / "wide.panel.json"
    text = calibrated.read_text("utf-8")
    panel.write_text(text.replace('"low_deg": -84.0', '"low_deg": -99.0'), "utf-8")
    assert panel.read_text("utf-8") != text
    with serving(_needles(calibrated)) as server:
        for words in (
            ("drive", panel, "--feed", "signal:sine?period=0.2", "--for", "0.3", "--set-limits"),
            ("upload", panel, "--instrument", "rudder"),
        ):
            code, out, err = run(capsys, *words, "--port", server.url)
            assert (code, out) == (2, "")
            assert "rudder: the scale reaches beyond the calibrated arc, found '-99° to 84°'" in err
            assert len(err.splitlines()) == 1
            assert run(capsys, *words, "--port", server.url, "--clamp")[0] == 0


def test_a_recording_is_replaced_only_when_asked_and_when_there_is_a_drive(capsys, calibrated, tmp_path):
    recording = tmp_path / "r.csv"
    recording.write_text("mine", "utf-8")
    words = ("drive", calibrated, "--feed", "signal:sine?period=0.2", "--for", "0.2", "--record", recording)
    code, _, err = run(capsys, *words, "--port", QUICK_BOARD)
    assert code == 2
    assert "the file is there already; accepted: another file, or --force" in err
    assert run(capsys, *words, "--port", "/dev/no-such-port", "--force")[0] == 3
    assert run(capsys, *words, "--port", QUICK_BOARD, "--force", "--on-silence", "9")[0] == 2
    assert recording.read_text("utf-8") == "mine"
    assert run(capsys, *words, "--port", QUICK_BOARD, "--force")[0] == 0
    assert read_recording(recording).names == ("rudder", "fuel")


def test_what_the_needles_do_on_silence_is_stored_in_the_board(capsys, calibrated):
    with serving(_needles(calibrated)) as server:
        words = ("drive", calibrated, "--port", server.url, "--feed", "signal:sine", "--for", "0.1")
        words += ("--set-limits", "--watchdog", "2", "--on-silence", "relax", "--on-silence", "fuel=1500")
        assert run(capsys, *words)[0] == 0
        with Board.open(server.url, patience=QUICK) as board:
            assert (board.loss(0), board.loss(2), board.watchdog_s()) == (None, 1500.0, 2.0)


def test_a_servo_s_fit_is_not_driven_on_a_stepper_s_channel(capsys, calibrated):
    with serving("pace=1000&stepper=945,-90,90&stepper=945,-90,90&stepper=945,-90,90") as server:
        words = ("drive", calibrated, "--port", server.url, "--feed", "signal:sine", "--for", "0.1")
        code, _, err = run(capsys, *words, "--set-limits")
        assert code == 2
        assert "channel 0 of the board drives a stepper" in err
        assert not any(channel.powered for channel in server.board.channels)


def test_after_the_drive_the_report_says_where_the_needles_were_left(capsys, calibrated):
    with serving(_needles(calibrated)) as server:
        words = (
            "drive",
            calibrated,
            "--port",
            server.url,
            "--feed",
            "signal:sine?period=0.3",
            "--for",
            "0.4",
        )
        code, out, _ = run(capsys, *words, "--set-limits", "--json")
        assert code == 0
        for dial in json.loads(out)["dials"]:
            channel = server.board.channels[{"rudder": 0, "fuel": 2}[dial["id"]]]
            assert dial["command"] == channel.last_command / 2


def test_an_uploaded_table_the_board_would_refuse_is_said_so(capsys, calibrated):
    with serving(_needles(calibrated)) as server:
        words = ("upload", calibrated, "--port", server.url, "--instrument", "rudder")
        code, text, _ = run(capsys, *words)
        assert code == 0
        assert "the board's limits, 1000 to 2000, refuse a part of the table" in text
        code, text, _ = run(capsys, *words, "--set-limits", "--hysteresis", "7")
        assert "refuse" not in text
        with Board.open(server.url, patience=QUICK) as board:
            for raw in (0, 65535, 30_000):
                board.raw(0, raw)
        assert server.board.channels[0].table().hysteresis == 7


@pytest.mark.slow
def test_ctrl_c_parks_the_needles_and_ends_well(calibrated):
    words = f"-m needlewright drive {calibrated} --feed signal:sine?period=0.5 --set-limits --json --port"
    with serving(_needles(calibrated)) as server:
        command = [sys.executable, *words.split(), server.url]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
            while not any(channel.powered for channel in server.board.channels):
                assert process.poll() is None
                time.sleep(0.02)
            process.send_signal(signal.SIGINT)
            out, err = process.communicate(timeout=30)
        assert process.returncode == 0, err
        assert "Traceback" not in err
        assert json.loads(out)["rounds"] > 0
        with Board.open(server.url, patience=QUICK) as board:
            assert {board.status(channel).state for channel in range(3)} == {"relaxed"}


@pytest.mark.slow
def test_a_drive_ends_well_though_the_sender_at_standard_input_goes_on(calibrated):
    command = [
        sys.executable, "-m", "needlewright", "drive", str(calibrated), "--port", QUICK_BOARD, "--feed", "-",
        "--for", "0.5", "--json",
    ]  # fmt: skip
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=pipe, text=True) as process:
        process.stdin.write("rudder=30000\n")
        process.stdin.flush()
        code = process.wait(30)  # with the pipe still open
        out, err = process.stdout.read(), process.stderr.read()
    assert (code, err) == (0, "")
    assert json.loads(out)["feed"]["taken"] == 1


def test_a_drive_that_is_asked_to_end_parks_its_needles_first(calibrated):
    words = f"-m needlewright drive {calibrated} --feed signal:sine?period=0.5 --set-limits --port"
    with serving(_needles(calibrated)) as server:
        command = [sys.executable, *words.split(), server.url]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
            while not all(server.board.channels[number].powered for number in (0, 2)):
                assert process.poll() is None
                time.sleep(0.02)
            process.terminate()
            _, err = process.communicate(timeout=30)
        assert process.returncode == 2
        assert err.splitlines()[-1] == "stopped"
        assert not any(channel.powered for channel in server.board.channels)
        home = driven_dials(load_panel(calibrated))[0][0]
        assert server.board.channels[0].last_command / 2 == pytest.approx(home.home_command, abs=0.5)


@pytest.mark.slow
def test_a_killed_drive_leaves_relaxed_needles(calibrated):
    """Nobody parks after a kill; the board's own watchdog relaxes."""
    words = f"-m needlewright drive {calibrated} --feed signal:sine?period=0.5 --set-limits --port"
    with serving(_needles(calibrated)) as server:
        server.board.watchdog_ms = 200
        command = [sys.executable, *words.split(), server.url]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
            while not any(channel.powered for channel in server.board.channels):
                assert process.poll() is None
                time.sleep(0.02)
            process.kill()
        for _ in range(200):
            if not any(channel.powered for channel in server.board.channels):
                break
            time.sleep(0.02)
        assert server.board.counts["lost"] >= 1


def test_upload_puts_the_tables_of_the_calibrated_dials_into_the_board(capsys, calibrated):
    with serving(_needles(calibrated)) as server:
        code, out, _ = run(capsys, "upload", calibrated, "--port", server.url, "--json")
        assert code == 0
        tables = json.loads(out)["tables"]
        assert [(one["instrument"], one["channel"], one["slot"]) for one in tables] == [
            ("rudder", 0, 0),
            ("fuel", 2, 0),
        ]
        assert all(one["worst_error"] <= 0.5 for one in tables)
        code, text, _ = run(capsys, "upload", calibrated, "--port", server.url, "--instrument", "fuel")
        assert "in slot 1 of channel 2" in text
        with Board.open(server.url, patience=QUICK) as board:
            assert board.slot(0).length == tables[0]["bytes"]
            assert board.slot(2).active == 1
        words = ("upload", calibrated, "--port", server.url, "--instrument", "rudder", "--one-map")
        code, _, _ = run(capsys, *words)
        assert code == 0
        slots = [StoredTable.from_bytes(slot) for slot in server.board.channels[0].storage.slots]
        assert [bool(slot.falling) for slot in slots] == [True, False]  # a map a direction, then one for both


def test_tables_of_which_one_cannot_be_made_are_none_of_them_uploaded(capsys, calibrated, tmp_path):
    panel = tmp_path / "wide.panel.json"
    text = calibrated.read_text("utf-8")
    panel.write_text(text.replace('"high": 1023,', '"high": 70000,'), "utf-8")  # the fuel's raw values
    with serving(_needles(calibrated)) as server:
        code, out, err = run(capsys, "upload", panel, "--port", server.url, "--set-limits")
        assert (code, out) == (2, "")
        assert "instruments.fuel.raw: the board takes raw values of 16 bits" in err
        rudder = server.board.channels[0].storage
        assert (rudder.active, rudder.low, rudder.high) == (None, 2000, 4000)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--instrument", "depth"), "no such instrument, found 'depth'; accepted: rudder"),
        (("--instrument", "shaft-speed"), "there is no fit yet"),
        (("--instrument", "fuel", "--channel", "7"), "no such channel, found 7"),
        (("--channel", "0"), "--channel is for one instrument"),
        (("--max-error", "0"), "the largest error"),
        (("--max-error", "5000"), "found 5000.0; accepted: more than 0, less than 1000"),
        (("--hysteresis", "256"), "cannot keep this hysteresis, found 256; accepted: 0 to 255"),
    ],
)
def test_what_cannot_be_uploaded_is_refused(capsys, calibrated, words, message):
    code, out, err = run(capsys, "upload", calibrated, "--port", QUICK_BOARD, *words)
    assert (code, out) == (2, "")
    assert message in err


@pytest.mark.slow
def test_two_panels_are_driven_at_once_each_on_its_own_board(calibrated, tmp_path):
    words = [sys.executable, "-m", "needlewright", "drive", "--feed", "signal:sine?period=0.4", "--for", "1"]
    panels = [calibrated, shutil.copy(calibrated, tmp_path / "other.panel.json")]
    drives = [
        subprocess.Popen(
            [*words, panel, "--port", f"virtual:?seed={3 + n}", "--json"], stdout=subprocess.PIPE
        )
        for n, panel in enumerate(panels)
    ]
    reports = [json.loads(drive.communicate(timeout=60)[0]) for drive in drives]
    assert [drive.returncode for drive in drives] == [0, 0]
    for report in reports:
        assert report["rounds"] > 10
        assert report["line"]["reconnections"] == 0
