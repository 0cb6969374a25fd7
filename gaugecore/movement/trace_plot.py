"""The picture of a replay: wanted, commanded, needle, and the error below."""

from __future__ import annotations

import io
from typing import Any, Literal

from gaugecore.movement.replay import Replay

#: Points enough for a page; a longer trace is thinned for the picture alone.
_MOST_POINTS = 20_000


def plot_replay(replayed: Replay, *, title: str, file_format: Literal["png", "pdf", "svg"]) -> bytes:
    """Return the picture of a replay as a file.

    Parameters
    ----------
    replayed : Replay
    title : str
        For people.
    file_format : {"png", "pdf", "svg"}
        Kind of file; nothing in it depends on the day.
    """
    from matplotlib import rc_context

    with rc_context({"svg.hashsalt": "needlewright", "font.size": 9.0}):
        figure = _figure(replayed, title)
        out = io.BytesIO()
        dateless = {"png": {}, "pdf": {"CreationDate": None}, "svg": {"Date": None}}[file_format]
        figure.savefig(out, format=file_format, dpi=150, metadata=dateless)
    return out.getvalue()


def _figure(replayed: Replay, title: str) -> Any:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7.2, 4.8), layout="constrained")
    above, below = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
    _angles(above, replayed, title)
    _error(below, replayed)
    # a trace goes anywhere, so there is no corner of the picture that a legend could have
    figure.legend(*above.get_legend_handles_labels(), loc="outside lower center", ncols=3, frameon=False)
    return figure


def _angles(axes: Any, replayed: Replay, title: str) -> None:
    every = slice(None, None, 1 + replayed.time_s.size // _MOST_POINTS)
    time_s = replayed.time_s[every]
    axes.plot(time_s, replayed.wanted_deg[every], color="#909090", linewidth=2.4, label="wanted")
    axes.plot(
        time_s,
        replayed.commanded_deg[every],
        color="#0072b2",
        linewidth=0.9,
        linestyle=":",
        label="commanded",
    )
    axes.plot(time_s, replayed.needle_deg[every], color="#000000", linewidth=1.1, label="needle")
    lag = "lag not told" if replayed.lag_s is None else f"lag {replayed.lag_s * 1000.0:.0f} ms"
    axes.set_title(
        f"{title}: {lag}, overshoot {replayed.overshoot_deg:.1f}°, worst error "
        f"{replayed.worst_error_deg:.1f}° at {replayed.worst_at_s:.2f} s",
        fontsize=9.0,
        loc="left",
    )
    axes.set_ylabel("dial angle, °")
    axes.spines[["top", "right"]].set_visible(False)


def _error(axes: Any, replayed: Replay) -> None:
    every = slice(None, None, 1 + replayed.time_s.size // _MOST_POINTS)
    error = (replayed.needle_deg - replayed.wanted_deg)[every]
    axes.fill_between(replayed.time_s[every], error, color="#b0b0b0", linewidth=0.0)
    axes.axhline(0.0, color="#404040", linewidth=0.7)
    axes.set_ylabel("error, °")
    axes.set_xlabel("time, s")
    axes.spines[["top", "right"]].set_visible(False)
