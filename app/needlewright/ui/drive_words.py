"""A drive in a few lines: needles, latency, what came in, what went wrong on the line."""

from __future__ import annotations

import dataclasses

from gaugecore.panel.silence import Kept
from needlewright.ui.driving import DriveShown
from needlewright.ui.translation import translate, with_minus

_MOST_DIALS = 8


def drive_words(shown: DriveShown, trouble: str = "") -> str:
    """Return a drive as lines of text; with a trouble of the line, they are of the moment before it."""
    state = shown.state
    trouble = trouble or state.trouble
    lines = []
    if trouble:
        stale = translate("drive_words", "Out of reach: {0}. What follows is from before.").format(trouble)
        lines.append(stale)
    for dial in state.dials[:_MOST_DIALS]:
        if dial.angle_deg is None or dial.raw is None:
            lines.append(translate("drive_words", "{0}: no value yet").format(dial.id))
        else:
            sent = (
                ""
                if dial.command is None
                else translate("drive_words", ", command {0:.0f}").format(dial.command)
            )
            said = translate("drive_words", "{0}: raw {1:.0f}, {2}°{3}")
            at = with_minus(f"{dial.angle_deg:.1f}")
            lines.append(said.format(dial.id, dial.raw, at, sent))
    if len(state.dials) > _MOST_DIALS:
        lines.append(translate("drive_words", "and {0} more dials").format(len(state.dials) - _MOST_DIALS))
    if state.awaited and state.unused:
        said = translate("drive_words", "Awaited: {0}. Came, and is followed by no dial: {1}.")
        lines.append(said.format(", ".join(state.awaited), ", ".join(state.unused)))
    if state.latency_median_ms is not None and state.latency_95_ms is not None:
        lines.append(
            translate(
                "drive_words", "Value to board: median {0:.1f} ms, 95 % {1:.1f} ms, worst {2:.0f} ms."
            ).format(state.latency_median_ms, state.latency_95_ms, state.latency_worst_ms)
        )
    lines.append(
        translate("drive_words", "{0:.0f} s, {1} rounds, {2} requests.").format(
            state.elapsed_s, state.rounds, state.requests
        )
    )
    lines.append(
        translate("drive_words", "Feed: {0}; silent for {1:.1f} s.").format(
            _counts(shown.feed), state.silent_s
        )
    )
    lines.append(translate("drive_words", "Line: {0}.").format(_counts(shown.line)))
    if shown.kept is not None:
        lines.append(silence_words(shown.kept))
    if shown.recording_failed:
        lines.append(shown.recording_failed)
    return "\n".join(lines)


def silence_words(kept: Kept) -> str:
    """Return what the board does when the traffic stops."""
    relaxing = [one for one, park_deg in kept.parks_deg.items() if park_deg is None]
    parking = {one: park_deg for one, park_deg in kept.parks_deg.items() if park_deg is not None}
    said = []
    if relaxing:
        said.append(translate("drive_words", "relaxes {0}").format(", ".join(relaxing[:_MOST_DIALS])))
    for one, park_deg in list(parking.items())[:_MOST_DIALS]:
        said.append(translate("drive_words", "parks {0} at {1}°").format(one, with_minus(f"{park_deg:.1f}")))
    return translate("drive_words", "After {0:g} s without a word from here the board {1}.").format(
        kept.watchdog_s, ", ".join(said)
    )


def _counts(counters: object) -> str:
    """Return the counters that are not zero: nothing wrong needs no words."""
    counts = dataclasses.asdict(counters).items()  # type: ignore[call-overload]
    return ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in counts if count) or translate(
        "drive_words", "nothing yet"
    )
