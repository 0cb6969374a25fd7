"""The verb sheet: files, refusals, exit codes; its DXF read back and audited by ezdxf."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from shapely import Polygon
from shapely.geometry import Point

from gaugecore.drawing.machine import Look, Machine
from gaugecore.drawing.stock import Stock
from gaugecore.face.rings import BezelRing, SpacerRing
from gaugecore.panel.document import Panel
from gaugecore.panel.making import Making
from gaugecore.panel.starter import starter_panel
from gaugecore.panel.store import load_panel, panel_text, save_panel
from needlewright.cli.main import main
from tests.drawing.readback import dxf_document

SAMPLE = Path(__file__).parents[2] / "samples" / "ferry-bridge.panel.json"


def panel_file(folder: Path, **changes: Any) -> Path:
    panel = load_panel(SAMPLE)
    ring = Making(spacer=SpacerRing(), bezel_ring=BezelRing())
    instruments = tuple(i.model_copy(update={"making": ring}) for i in panel.instruments if i.face.bezel_mm)
    path = folder / "ferry.panel.json"
    save_panel(panel.model_copy(update={"instruments": instruments, **changes}), path)
    return path


def run(path: Path, folder: Path, *words: str) -> int:
    return main(["sheet", str(path), "--out", str(folder), *words])


@pytest.mark.slow
def test_sheets_in_every_format_a_test_piece_and_paper(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert run(panel_file(tmp_path), out, "--paper", "a4", "--json") == 0
    report = json.loads(capsys.readouterr().out)
    names = {Path(path).name for path in report["files"]}
    assert names == {path.name for path in out.iterdir()}
    assert {
        f"{name}.{form}" for name in ("stock-1-sheet-1", "kerf-test") for form in ("svg", "dxf", "pdf")
    } <= names
    assert "paper-a4.pdf" in names
    pieces = [piece for sheet in report["sheets"] for piece in sheet["pieces"]]
    assert len(pieces) == len(set(pieces))
    assert {"rudder-face", "rudder-pointer", "rudder-spacer", "rudder-bezel-ring"} <= set(pieces)
    assert all(0.0 < sheet["used_fraction"] < 1.0 for sheet in report["sheets"])


def test_a_panel_from_before_there_were_plates_still_loads_and_is_nested(tmp_path: Path) -> None:
    data = json.loads(SAMPLE.read_text("utf-8"))
    data.pop("machine", None)
    for instrument in data["instruments"]:
        instrument.pop("making", None)
    path = tmp_path / "old.panel.json"
    path.write_text(json.dumps(data), "utf-8")
    assert run(path, tmp_path / "out", "--as", "svg") == 0


def test_people_are_told_how_full_the_sheets_are_and_what_is_dangerous(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(panel_file(tmp_path), tmp_path / "out", "--as", "svg") == 0
    said = capsys.readouterr().out
    assert "pieces, " in said
    assert "kerf test piece first" in said
    assert "never cut PVC" in said


@pytest.mark.slow
def test_the_dxf_read_back_is_clean_and_its_cut_lines_keep_clear_of_each_other(tmp_path: Path) -> None:
    """Circles and polylines as ezdxf reads them, measured by shapely: outsides keep the gap, none crosses."""
    assert run(panel_file(tmp_path), tmp_path / "out", "--as", "dxf") == 0
    files = sorted((tmp_path / "out").glob("stock-*.dxf"))
    assert files
    for file in files:
        document = dxf_document(file.read_bytes())
        assert document.units == ezdxf.units.MM
        loops = closed(document.modelspace().query('*[layer=="CUT"]'))
        outsides = [a for a in loops if not any(b is not a and b.contains(a) for b in loops)]
        for n, one in enumerate(outsides):
            left, bottom, right, top = one.bounds
            assert left > 4.99 and bottom > 4.99 and right < 295.01 and top < 195.01  # noqa: PT018
            assert all(one.distance(other) > 2.99 for other in outsides[n + 1 :])
        for n, one in enumerate(loops):
            assert not any(one.exterior.intersects(other.exterior) for other in loops[n + 1 :])


def closed(entities: Sequence[Any]) -> list[Polygon]:
    found = []
    for entity in entities:
        if entity.dxftype() == "CIRCLE":
            found.append(Point(*entity.dxf.center.vec2).buffer(entity.dxf.radius, quad_segs=90))
        else:
            assert entity.dxftype() == "LWPOLYLINE"
            assert entity.closed
            found.append(Polygon([p.vec2 for p in ezdxf.path.make_path(entity).flattening(0.002)]))
    return found


@pytest.mark.slow
def test_the_kerf_of_the_stock_is_allowed_for(tmp_path: Path) -> None:
    """A face of 80 mm is cut at 80.4 for a kerf of 0.4, its centre hole of 8 at 7.6."""
    path = panel_file(tmp_path, stock=(Stock(kerf_mm=0.4),))
    assert run(path, tmp_path / "out", "--as", "dxf") == 0
    file = next((tmp_path / "out").glob("stock-1-sheet-1.dxf"))
    space = dxf_document(file.read_bytes()).modelspace()
    radii = {round(2.0 * circle.dxf.radius, 6) for circle in space.query("CIRCLE")}
    assert {80.4, 7.6} <= radii


@pytest.mark.slow
def test_the_machines_own_colours_and_what_it_is_not_sent(tmp_path: Path) -> None:
    machine = Machine(cut=Look(colour="#123456", width_mm=0.01), guide=Look(sent=False))
    assert run(panel_file(tmp_path, machine=machine), tmp_path / "out", "--as", "svg") == 0
    sheet = (tmp_path / "out" / "stock-1-sheet-1.svg").read_text("utf-8")
    assert "#123456" in sheet
    assert 'stroke-width="0.01"' in sheet
    assert "rudder-face.label" not in sheet
    # ink never goes to a cutter
    assert "graduations" not in sheet


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--as", "png"], "--as: unknown format, found 'png'"),
        (["--paper", "B5"], "--paper: unknown paper, found 'B5'; accepted: A4, Letter, A3"),
        (
            ["--print-correction", "99", "98"],
            "--print-correction: a print correction is for paper pages only",
        ),
        (["--paper", "A4", "--print-correction", "x", "98"], "the bars' lengths are not two numbers"),
        (["--paper", "A4", "--print-correction", "89", "98"], "the x bar of the last print is too far"),
        (["--paper", "A4", "--print-correction", "98", "nan"], "the y bar of the last print is too far"),
    ],
)
def test_refusals(words: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(SAMPLE, tmp_path / "out", *words) == 2
    err = capsys.readouterr().err
    assert said in err
    assert err.count("\n") == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {"stock": (Stock(width_mm=70.0),)},
            "rudder-bezel-ring: the plate is larger than a sheet of cast acrylic, 3 mm, found 'Ø 80.2 mm'",
        ),
        (
            {"stock": (Stock(kerf_mm=2.0),)},
            "rudder-pointer.pointer.bore: the kerf of 2 mm is as wide as the hole",
        ),
        ({"instruments": ()}, "the panel has no instruments, so there is nothing to cut"),
    ],
)
def test_what_cannot_be_cut_is_refused_whole(
    changes: dict[str, Any], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(panel_file(tmp_path, **changes), tmp_path / "out") == 2
    err = capsys.readouterr().err
    assert said in err
    assert err.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_pvc_is_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = panel_file(tmp_path, stock=(Stock(name="soft PVC, 2 mm"),))
    assert run(path, tmp_path / "out", "--as", "svg") == 1
    assert "must never be cut with a laser" in capsys.readouterr().out


@pytest.mark.slow
def test_files_are_not_replaced_unasked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = panel_file(tmp_path)
    assert run(path, tmp_path / "out", "--as", "svg") == 0
    assert run(path, tmp_path / "out", "--as", "svg") == 2
    assert "--force" in capsys.readouterr().err
    assert run(path, tmp_path / "out", "--as", "svg", "--force") == 0


@pytest.mark.slow
def test_the_same_panel_gives_the_same_bytes(tmp_path: Path) -> None:
    path = panel_file(tmp_path)
    for folder in ("one", "two"):
        assert run(path, tmp_path / folder, "--paper", "Letter") == 0
    for file in (tmp_path / "one").iterdir():
        assert file.read_bytes() == (tmp_path / "two" / file.name).read_bytes()


@pytest.mark.slow
def test_hostile_names_of_stock_and_panel_are_only_words(tmp_path: Path) -> None:
    stock = Stock(name='<script>alert("1")</script> ☃ ../..' + "x" * 100)
    path = panel_file(tmp_path, stock=(stock,), title="]]>&\\<b> ☃" * 9)
    assert isinstance(load_panel(path), Panel)
    assert run(path, tmp_path / "out", "--paper", "A4") == 0
    assert "<script" not in (tmp_path / "out" / "stock-1-sheet-1.svg").read_text("utf-8")


HOLES_OFF_THE_DISC = {
    "an aperture beside it": {"apertures": [{"x_mm": 40.0}]},
    "fixing holes on too wide a circle": {
        "fixing_holes": {"count": 2, "pitch_circle_mm": 80.0, "diameter_mm": 2.2}
    },
    "a centre hole all round it": {"centre_hole_mm": 100.0},
}


@pytest.mark.parametrize("changes", HOLES_OFF_THE_DISC.values(), ids=HOLES_OFF_THE_DISC)
def test_a_hole_off_the_disc_is_the_fault_that_draw_finds_and_never_a_piece(
    changes: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = json.loads(panel_text(starter_panel("Desk")))
    data["instruments"][0]["face"] |= changes
    path = tmp_path / "desk.panel.json"
    path.write_text(json.dumps(data), "utf-8")
    assert main(["draw", str(path), "--as", "svg", "--out", str(tmp_path / "drawn"), "--json"]) == 1
    drawn = json.loads(capsys.readouterr().out)
    assert run(path, tmp_path / "out", "--as", "dxf", "--json") == 1
    report = json.loads(capsys.readouterr().out)
    assert report["faults"] == drawn["faults"]
    assert "hole-off-the-disc" in {fault["rule"] for fault in report["faults"]}
    (sheet,) = report["sheets"]
    assert sorted(sheet["pieces"]) == ["dial-1-face", "dial-1-pointer"]
    cuts = dxf_document((tmp_path / "out" / "stock-1-sheet-1.dxf").read_bytes()).query("CIRCLE")
    # the disc of 60 mm half a kerf outside its edge is the widest circle; nothing is cut beside it
    assert max(circle.dxf.radius for circle in cuts) == pytest.approx(30.1)


def test_a_frame_screw_beside_the_spacer_is_a_fault_of_the_sheet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = json.loads(panel_text(starter_panel("Desk")))
    screws = {"count": 4, "pitch_circle_mm": 90.0, "diameter_mm": 3.0}
    data["instruments"][0]["making"] = {
        "frame": {"diameter_mm": 70.0, "holes": screws},
        "spacer": {"width_mm": 5.0},
    }
    path = tmp_path / "desk.panel.json"
    path.write_text(json.dumps(data), "utf-8")
    assert run(path, tmp_path / "out", "--as", "svg", "--json") == 1
    report = json.loads(capsys.readouterr().out)
    assert [fault["rule"] for fault in report["faults"]] == ["hole-off-the-plate"]
    assert "frame_holes.0 lies outside the plate dial-1-spacer" in report["faults"][0]["message"]
    assert len(report["sheets"][0]["pieces"]) == 3


def test_paper_pages_are_said_to_be_printed_at_actual_size_and_one_piece_is_one_piece(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "desk.panel.json"
    panel = starter_panel("Desk")
    dial = panel.instruments[0]
    # the pointer from a stock of its own, so that each sheet holds one piece
    made = dial.model_copy(update={"making": Making(pointer_stock=1)})
    panel = panel.model_copy(update={"instruments": (made,), "stock": (Stock(), Stock(name="black"))})
    save_panel(panel, path)
    assert run(path, tmp_path / "out", "--as", "svg", "--paper", "A4") == 0
    said = capsys.readouterr().out
    assert "Print the paper pages at actual size (100 %)" in said
    assert said.count("sheet 1: 1 piece, ") == 2
    assert run(path, tmp_path / "plain", "--as", "svg") == 0
    assert "Print the paper pages" not in capsys.readouterr().out
