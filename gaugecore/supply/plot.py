"""The picture of the supply: current by state as bars, the limit, and what the meter said."""

from __future__ import annotations

import io
from collections.abc import Sequence
from textwrap import fill
from typing import Any, Literal

from gaugecore.supply.caution import CAUTION
from gaugecore.supply.meter import State, When
from gaugecore.supply.source import Supply
from gaugecore.supply.states import Draw, Draws, draws

#: Grey, hatch and caption by kind of load: told apart in black and white.
_LOOKS: dict[When | None, tuple[str, str, str]] = {
    When.ALWAYS: ("#404040", "", "always on"),
    When.BACK_LIGHT: ("#8c8c8c", "", "back-light"),
    When.LAMP: ("#c4c4c4", "", "lamps"),
    None: ("#ffffff", "////", "movements"),
}
_CAPTIONS = {
    State.ALL_OFF: "all off",
    State.BACK_LIGHT: "back-light",
    State.LAMP_TEST: "lamp test",
    State.ONE_MOVING: "one moving",
    State.ALL_MOVING: "all moving",
    State.ONE_STALLED: "one stalled",
}


def plot_supply(
    supply: Supply, movements: Sequence[Draws], *, file_format: Literal["png", "pdf", "svg"]
) -> bytes:
    """Return the picture of the supply as a file.

    Parameters
    ----------
    supply : Supply
    movements : sequence of Draws
        The movements of the panel.
    file_format : {"png", "pdf", "svg"}
        Kind of file; nothing in it depends on the day.
    """
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    states = draws(supply, movements)
    with rc_context({"svg.hashsalt": "needlewright", "font.size": 9.0, "hatch.linewidth": 0.6}):
        figure = Figure(figsize=(7.2, 7.4 if supply.movements_apart else 4.4), layout="constrained")
        above, *below = figure.subplots(1 + supply.movements_apart, squeeze=False)[:, 0]
        kinds = [kind for kind in _LOOKS if kind or not supply.movements_apart]
        _bars(above, states, kinds)
        _limit(above, supply.source_limit_ma, supply.source.value)
        _meter(above, supply)
        _finish(above, "from the source")
        for axes in below:
            _bars(axes, states, [None])
            _limit(axes, supply.movements_source_limit_ma, "their own supply")
            _finish(axes, "of the movements")
        figure.supxlabel(fill(CAUTION, 120), fontsize=6.5, color="#404040")
        out = io.BytesIO()
        dateless = {"png": {}, "pdf": {"CreationDate": None}, "svg": {"Date": None}}[file_format]
        figure.savefig(out, format=file_format, dpi=150, metadata=dateless)
    return out.getvalue()


def _bars(axes: Any, states: tuple[Draw, ...], kinds: list[When | None]) -> None:
    present = [kind for kind in kinds if any(share.when is kind for draw in states for share in draw.shares)]
    for row, draw in enumerate(states):
        left_ma = 0.0
        for kind in present:
            grey, hatch, caption = _LOOKS[kind]
            width_ma = sum(share.typical_ma for share in draw.shares if share.when is kind)
            axes.barh(
                row,
                width_ma,
                left=left_ma,
                height=0.56,
                color=grey,
                hatch=hatch,
                edgecolor="#202020",
                linewidth=0.7,
                # once is enough; an underscore keeps the others out of the legend
                label=caption if row == 0 else "_",
            )
            left_ma += width_ma
        worst_ma = sum(share.worst_ma for share in draw.shares if share.when in present)
        axes.plot([left_ma, worst_ma], [row, row], color="#202020", linewidth=0.9, zorder=3)
        end = {"color": "#202020", "markersize": 9, "zorder": 3}
        axes.plot([worst_ma], [row], "|", label="worst case" if row == 0 else "_", **end)
        axes.annotate(
            f"{left_ma:.0f}", (0.0, row), xytext=(-6, 0), textcoords="offset points", ha="right", va="center"
        )


def _limit(axes: Any, limit_ma: float, caption: str) -> None:
    axes.axvline(limit_ma, color="#b00020", linewidth=1.4, linestyle="--")
    axes.annotate(
        f"limit {limit_ma:.0f} mA ({caption})",
        (limit_ma, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(0, 3),
        textcoords="offset points",
        ha="center",
        va="bottom",
        color="#b00020",
    )


def _meter(axes: Any, supply: Supply) -> None:
    rows = [(r.current_ma, list(State).index(r.state)) for r in supply.measured if not r.only]
    if rows:
        axes.plot(
            [ma for ma, _ in rows],
            [row for _, row in rows],
            "D",
            color="#ffffff",
            markeredgecolor="#000000",
            markersize=6,
            markeredgewidth=1.2,
            zorder=4,
            label="measured",
        )


def _finish(axes: Any, whose: str) -> None:
    axes.set_yticks(range(len(State)), [f"{_CAPTIONS[state]}      " for state in State])
    axes.tick_params(axis="y", length=0, pad=16)
    axes.invert_yaxis()
    axes.set_xlim(left=0.0)
    axes.set_xlabel(f"current {whose}, mA (typical figure beside each bar)")
    axes.spines[["top", "right"]].set_visible(False)
    axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), frameon=False)
