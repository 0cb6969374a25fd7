"""Finding the safe range with an eye: outwards in small steps, until the dial ends or the movement does."""

from __future__ import annotations

import statistics
from collections.abc import Callable

from gaugecore.board.session import Session
from gaugecore.errors import InputError

#: How far past the dial's ends the readings go, so that the ends themselves lie inside the fit.
MARGIN_DEG = 6.0
#: Steps from one end of what the movement may be sent to the other.
_STEPS = 60
#: As many steps without the needle following mean a stop.
_STUCK_STEPS = 3
#: How much less than expected is "not following": the eye itself errs by half a degree and more.
_STUCK_PART = 0.35
#: Looks at each step.
_LOOKS = 3


def find_range(
    session: Session, read: Callable[[], float], *, arc_deg: tuple[float, float]
) -> tuple[float, float]:
    """Find the commands between which the needle covers the arc and meets no stop, and set them.

    Parameters
    ----------
    session : Session
        Its range is set at the end.
    read : callable
        Returns the dial angle of the needle at rest.
    arc_deg : tuple of float
        Smallest and largest dial angle of the scale.

    Returns
    -------
    tuple of float
        The range.

    Raises
    ------
    InputError
        If the needle does not follow the commands at all.
    """
    least, most = session.setting.widest
    step = max((most - least) / _STEPS, 1.0)
    clockwise = session.setting.clockwise_with_command
    beyond = (arc_deg[0] - MARGIN_DEG, arc_deg[1] + MARGIN_DEG)
    if not clockwise:
        beyond = (beyond[1], beyond[0])
    middle = (least + most) / 2

    def look() -> float:
        # one slip of the eye must not pass for the end of the dial
        return statistics.median(read() for _ in range(_LOOKS))

    high = _seek_end(session, look, middle, step, until_deg=beyond[1], clockwise=clockwise)
    low = _seek_end(session, look, middle, -step, until_deg=beyond[0], clockwise=not clockwise)
    if high - low < 4 * step:
        raise InputError(
            "the needle does not follow the commands",
            found=f"no way outwards from {middle:g}",
            accepted="a needle that turns the way the panel says, on the channel that is asked for",
        )
    session.seek(middle)
    session.set_range(low, high)
    return low, high


def _seek_end(
    session: Session,
    read: Callable[[], float],
    start: float,
    step: float,
    *,
    until_deg: float,
    clockwise: bool,
) -> float:
    """Go outwards from a start; return the last command that is safe."""
    least, most = session.setting.widest
    sign = 1.0 if clockwise else -1.0
    session.seek(start)
    seen = [read()]
    sent = [start]
    while least <= sent[-1] + step <= most:
        if sign * (seen[-1] - until_deg) >= 0:
            return sent[-1]
        sent.append(session.seek(sent[-1] + step))
        seen.append(read())
        if _is_stuck(seen, sign):
            # three steps into the stop, and one more to stay clear of it
            followed = sign * (seen[-1] - seen[0]) > 0
            return sent[-_STUCK_STEPS - 2] if followed else start
    return sent[-1]


def _is_stuck(seen: list[float], sign: float) -> bool:
    steps_before = len(seen) - 1 - _STUCK_STEPS
    if steps_before < _STUCK_STEPS:
        return False
    before_deg = sign * (seen[steps_before] - seen[0]) / steps_before
    lately_deg = sign * (seen[-1] - seen[-1 - _STUCK_STEPS]) / _STUCK_STEPS
    return lately_deg <= max(_STUCK_PART * before_deg, 0.0)
