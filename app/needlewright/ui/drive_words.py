"""A drive in a few lines: needles, latency, what came in, what went wrong on the line."""

from __future__ import annotations

import dataclasses

from needlewright.ui.driving import DriveShown

_MOST_DIALS = 8


def drive_words(shown: DriveShown) -> str:
    """Return a drive as lines of text."""
    state = shown.state
    lines = [state.trouble] if state.trouble else []
    for dial in state.dials[:_MOST_DIALS]:
        if dial.angle_deg is None or dial.raw is None:
            lines.append(f"{dial.id}: no value yet")
        else:
            sent = "" if dial.command is None else f", command {dial.command:.0f}"
            lines.append(f"{dial.id}: raw {dial.raw:.0f}, {dial.angle_deg:.1f}°{sent}")
    if len(state.dials) > _MOST_DIALS:
        lines.append(f"and {len(state.dials) - _MOST_DIALS} more dials")
    if state.latency_median_ms is not None and state.latency_95_ms is not None:
        lines.append(
            f"Value to board: median {state.latency_median_ms:.1f} ms, 95 % {state.latency_95_ms:.1f} ms, "
            f"worst {state.latency_worst_ms:.0f} ms."
        )
    lines.append(f"{state.elapsed_s:.0f} s, {state.rounds} rounds, {state.requests} requests.")
    lines.append(f"Feed: {_counts(shown.feed)}; silent for {state.silent_s:.1f} s.")
    lines.append(f"Line: {_counts(shown.line)}.")
    if shown.recording_failed:
        lines.append(shown.recording_failed)
    return "\n".join(lines)


def _counts(counters: object) -> str:
    """Return the counters that are not zero: nothing wrong needs no words."""
    counts = dataclasses.asdict(counters).items()  # type: ignore[call-overload]
    return ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in counts if count) or "nothing yet"
