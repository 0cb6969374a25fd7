"""A dense face, laid out and written by three writers, against the same marks by a plotting library."""

from __future__ import annotations

import io
import time
import tracemalloc
from collections.abc import Callable, Mapping

import numpy as np
from rich.console import Console
from rich.table import Table

from gaugecore.drawing.dxf import to_dxf
from gaugecore.drawing.elements import Drawing
from gaugecore.drawing.pdf import to_pdf
from gaugecore.drawing.svg import to_svg
from gaugecore.face.face import Face, Graduations, GraduationStyle, Numerals, Sector
from gaugecore.face.graduations import graduations_of, numerals_of, style_of
from gaugecore.face.layout import lay_out_face
from gaugecore.face.scale import LinearScale, angle_deg, value_range

PT_PER_MM = 72.0 / 25.4
#: Height of a figure against the size of the plotting library's own font.
CAPITAL_OF_SIZE = 0.73
ALL_OURS, THEIRS = "layout and three writers", "plotting library, SVG"


def dense_face(graduations: int = 500) -> Face:
    """Return a face with some 500 graduations, 60 numerals and 6 sectors."""
    high = float(graduations - 1)
    edges = np.linspace(0.0, high, 7)
    colours = ("#b00f1a", "#35a35a", "#b58900", "#1d4e89", "#804080", "#808080")
    return Face(
        diameter_mm=300.0,
        scale=LinearScale(low_value=0.0, high_value=high, low_deg=-150.0, high_deg=150.0),
        graduations=Graduations(
            outer_radius_mm=140.0,
            major_step=8.5 * graduations / 500.0,
            minor_step=1.0,
            minor=GraduationStyle(length_mm=2.6, width_mm=0.3),
        ),
        numerals=Numerals(radius_mm=128.0, height_mm=3.0, step=8.5 * graduations / 500.0, decimals=1),
        sectors=tuple(
            Sector(
                low_value=float(low),
                high_value=float(end),
                inner_radius_mm=141.0,
                outer_radius_mm=144.0,
                colour=colour,
            )
            for low, end, colour in zip(edges[:-1], edges[1:], colours, strict=True)
        ),
    )


def by_plotting_library(face: Face) -> bytes:
    """Return the same marks as an SVG from matplotlib's polar axes, numerals as paths like ours."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context({"svg.fonttype": "path"}):
        figure = Figure(figsize=(face.diameter_mm / 25.4, face.diameter_mm / 25.4))
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0), projection="polar")
        axes.set_theta_zero_location("N")  # type: ignore[attr-defined]
        axes.set_theta_direction(-1)  # type: ignore[attr-defined]
        axes.set_axis_off()
        axes.set_ylim(0.0, face.diameter_mm / 2.0)
        outer_mm = face.graduations.outer_radius_mm
        for mark in graduations_of(face):
            style = style_of(face, mark.rank)
            turn = np.radians(mark.dial_deg)
            axes.plot(
                [turn, turn],
                [outer_mm, outer_mm - style.length_mm],
                color="k",
                linewidth=style.width_mm * PT_PER_MM,
                solid_capstyle="butt",
            )
        assert face.numerals is not None
        for numeral in numerals_of(face):
            axes.text(
                np.radians(numeral.dial_deg),
                face.numerals.radius_mm,
                numeral.text,
                ha="center",
                va="center",
                fontsize=face.numerals.height_mm * PT_PER_MM / CAPITAL_OF_SIZE,
            )
        for sector in face.sectors:
            start, end = (np.radians(angle_deg(face.scale, v)) for v in (sector.low_value, sector.high_value))
            axes.bar(
                start,
                sector.outer_radius_mm - sector.inner_radius_mm,
                width=end - start,
                bottom=sector.inner_radius_mm,
                align="edge",
                color=sector.colour,
            )
        stream = io.BytesIO()
        figure.savefig(stream, format="svg")
    return stream.getvalue()


def ours(face: Face) -> None:
    drawing: Drawing = lay_out_face(face, name="dense", title="Dense")
    to_svg(drawing)
    to_dxf(drawing)
    to_pdf([drawing])


def best_s(works: Mapping[str, Callable[[], object]], rounds: int = 8) -> dict[str, float]:
    """Return the least processor time of each work, all in turn so that a busy moment hits them alike."""
    found: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(rounds + 1):
        for name, work in works.items():
            start = time.process_time()
            work()
            found[name].append(time.process_time() - start)
    # the first round is for imports and caches
    return {name: min(times[1:]) for name, times in found.items()}


def unseen(face: Face, turned_deg: float) -> Face:
    """Return a face that nobody has asked for before, so that no cache helps."""
    low, high = value_range(face.scale)
    scale = LinearScale(low_value=low, high_value=high, low_deg=-150.0, high_deg=150.0 + turned_deg)
    return face.model_copy(update={"scale": scale})


def peak_mb(face: Face) -> float:
    ours(face)  # imports are not the elements'
    tracemalloc.start()
    ours(unseen(face, 1e-6))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak / 1e6


def run() -> None:
    face = dense_face()
    drawing = lay_out_face(face, name="dense", title="Dense")
    turned_deg = iter(1e-6 * at for at in range(10_000))
    seconds = best_s(
        {
            "layout": lambda: lay_out_face(unseen(face, next(turned_deg)), name="d", title="D"),
            "SVG": lambda: to_svg(drawing),
            "DXF": lambda: to_dxf(drawing),
            "PDF": lambda: to_pdf([drawing]),
            ALL_OURS: lambda: ours(unseen(face, next(turned_deg))),
            THEIRS: lambda: by_plotting_library(face),
        }
    )
    table = Table(
        title=f"{len(graduations_of(face))} graduations, {len(numerals_of(face))} numerals, 6 sectors"
    )
    table.add_column("step")
    table.add_column("ms of processor", justify="right")
    for name, best in seconds.items():
        table.add_row(name, f"{best * 1e3:.1f}")
    table.add_row("times faster", f"{seconds[THEIRS] / seconds[ALL_OURS]:.1f}")
    for count in (500, 1000, 2000, 3000):
        table.add_row(f"peak memory at {count} graduations, MB", f"{peak_mb(dense_face(count)):.1f}")
    Console().print(table)


if __name__ == "__main__":
    run()
