"""The talk at the bench: asks a person for what the calibration session needs, one line at a time.

It knows words, the session knows the work. Lines come from the terminal or, for scripts, from a file; when
they end, that is a `q`.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from gaugecore.board.session import CAUTION, Doing, Session
from gaugecore.calibration.readings import Direction
from gaugecore.errors import BoardError, InputError, OutputError
from gaugecore.face.scale import angle_deg
from gaugecore.panel.document import Instrument

HELP = """\
  a number    the dial angle the needle shows, in degrees clockwise from twelve o'clock
  =VALUE      the needle covers this value of the scale
  + - ++ --   shift the needle by 1 or 10; j N by any N, in µs or steps
  u           take the last reading back
  s           leave this target out
  x ROW WHY   leave a reading out of the fit
  q           stop here and keep what there is"""

_JOGS = {"+": 1.0, "-": -1.0, "++": 10.0, "--": -10.0}
_COARSE_JOGS = {"+": 10.0, "-": -10.0, "++": 50.0, "--": -50.0}
_WAYS = {Direction.UP: "clockwise", Direction.DOWN: "anticlockwise", Direction.UNKNOWN: "any way"}


class Stopped(Exception):
    """The person has had enough."""


class Talk:
    """Asks and says.

    Parameters
    ----------
    answers : Path or None
        A file of answers, one a line; None: standard input.
    """

    def __init__(self, answers: Path | None = None) -> None:
        self._lines = _lines(answers)

    def say(self, text: str) -> None:
        """Show a line; standard output is kept for the result."""
        print(text, file=sys.stderr, flush=True)  # noqa: T201

    def ask(self, question: str) -> str:
        """Return the next answer.

        Raises
        ------
        Stopped
            If there is none, or it is ``q``.
        """
        print(question, end=" ", file=sys.stderr, flush=True)  # noqa: T201
        answer = next(self._lines, "q").strip()
        if answer.lower() in ("q", "quit"):
            raise Stopped
        return answer


def _lines(answers: Path | None) -> Iterator[str]:
    if answers is None:
        yield from iter(sys.stdin.readline, "")
        return
    try:
        text = answers.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            f"cannot read the answers ({getattr(error, 'strerror', None) or error})", where=str(answers)
        ) from error
    yield from (line for line in text.splitlines() if not line.startswith("#"))


def clear_the_sweep(talk: Talk) -> None:
    """Say the caution and wait for a yes."""
    talk.say(f"Caution. {CAUTION}")
    while talk.ask("Is the sweep clear? Type yes to go on, q to stop:").lower() not in ("y", "yes"):
        pass


def agree_range(talk: Talk, session: Session, *, unit: str) -> None:
    """Keep the limits the board has, or find the safe range together."""
    low, high = session.stored_range()
    if low < high:
        talk.say(f"The board holds the limits {low:g} to {high:g} {unit}.")
        answer = talk.ask("Type k to keep them, Enter to find the safe range anew:").lower()
        if answer == "k":
            session.set_range(low, high)
            return
    least, most = session.setting.widest
    ends = {}
    for side, start in (("low", low if low < high else least), ("high", high if low < high else most)):
        talk.say(
            f"The {side} end: step until the needle is a few degrees past the end of the dial and still "
            "moves freely. When it no longer follows, or the servo hums, step back at once."
        )
        ends[side] = _step_out(talk, session, min(max(start, least), most), unit)
    session.set_range(min(ends.values()), max(ends.values()))


def _step_out(talk: Talk, session: Session, start: float, unit: str) -> float:
    least, most = session.setting.widest
    here = _survive(talk, partial(session.seek, start))
    while True:
        answer = talk.ask(f"At {here:g} {unit}. + - (10), ++ -- (50), +N -N (N), a command, or ok:")
        if answer.lower() == "ok":
            return here
        wanted = _stepped(here, answer)
        if wanted is None:
            talk.say("  That is none of them.")
            continue
        if not least <= wanted <= most:
            bears = f"{least:g} to {most:g}"
            talk.say(f"  {wanted:g} {unit} is beyond what the movement bears, {bears}: nothing moved.")
            continue
        here = _survive(talk, partial(session.seek, wanted))


def _stepped(here: float, answer: str) -> float | None:
    """Return the command an answer means: a number with a sign is a step, one without is a command."""
    if answer in _COARSE_JOGS:
        return here + _COARSE_JOGS[answer]
    number = _number(answer)
    return here + number if number is not None and answer[0] in "+-−" else number


def take(talk: Talk, session: Session, instrument: Instrument) -> None:
    """Take the readings that are left."""
    talk.say("Type the dial angle at the needle, or h for help.")
    while (target := session.state.target) is not None:
        if session.state.doing is not Doing.AT_TARGET:
            _survive(talk, session.approach)
        count = len(session.state.targets)
        answer = talk.ask(
            f"{session.state.at + 1}/{count}, cycle {target.cycle}, arriving {_WAYS[target.direction]}, "
            f"command {session.state.command:g}:"
        )
        try:
            _obey(talk, session, instrument, answer)
        except OutputError as error:
            talk.say(f"  {error}\n  The reading is kept and saved with the next one.")
        except InputError as error:
            talk.say(f"  {error}")


def _obey(talk: Talk, session: Session, instrument: Instrument, answer: str) -> None:
    word, _, rest = answer.partition(" ")
    if answer in _JOGS or word == "j":
        amount = _JOGS.get(answer, _number(rest))
        if amount is None:
            raise InputError("how far?", found=rest, accepted="j N, N in µs or steps")
        _survive(talk, partial(session.jog, amount))
    elif answer == "u":
        back = session.undo()
        talk.say("  Nothing to take back." if back is None else f"  Taken back: {back.angle_deg:g}°.")
    elif answer == "s":
        session.skip()
    elif word == "x":
        row, _, reason = rest.partition(" ")
        session.exclude(int(row) if row.isascii() and row.isdigit() else 0, reason or "left out by hand")
    elif answer.startswith("="):
        value = _number(answer[1:])
        if value is None:
            raise InputError("which value does the needle cover?", found=answer, accepted="=VALUE")
        session.record(angle_deg(instrument.face.scale, value))
    elif (angle := _number(answer)) is not None:
        session.record(angle)
    else:
        talk.say(HELP)


def _survive(talk: Talk, move: Callable[[], float]) -> float:
    """Move; when the board is out of reach, wait until the person has put it right."""
    while True:
        try:
            return move()
        except BoardError as error:
            talk.say(f"  {error}\n  Nothing taken so far is lost.")
            talk.ask("Put it right and press Enter, or q to stop:")


def _number(text: str) -> float | None:
    try:
        number = float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError:
        return None
    return number if abs(number) < 1e6 else None
