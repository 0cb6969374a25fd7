"""take readings at the needle, step by step.

First the safe range is found and stored in the board; then the needle goes to one target after another, from
both sides, and you say where it points. Readings are saved after each. At the end the map is fitted and, if
you like, stored in the panel.
"""

from __future__ import annotations

import datetime
import sys
from argparse import ArgumentParser, BooleanOptionalAction, Namespace
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from gaugecore.board.board import Board
from gaugecore.board.session import Doing, Session, SessionState, Setting, check_channel
from gaugecore.board.session_state import IDLE_S
from gaugecore.calibration.csv_rows import comments_in, read_text
from gaugecore.calibration.readings import Reading, parse_readings
from gaugecore.errors import FitError, InputError, OutputError, ReadingsError
from gaugecore.files import is_there
from gaugecore.panel.document import Instrument, Panel
from gaugecore.panel.document import Session as Sitting
from gaugecore.panel.panel_file import add_session
from gaugecore.panel.store import load_panel
from gaugecore.units import COMMAND_UNITS
from needlewright.cli.bench_talk import Stopped, Talk, agree_range, clear_the_sweep, take
from needlewright.cli.ending import ended_gently
from needlewright.cli.outcome import Outcome
from needlewright.cli.silence import add_silence_arguments
from needlewright.cli.sitting import Ended, as_json, as_text
from needlewright.cli.which import the_one

if TYPE_CHECKING:
    from gaugecore.calibration.result import Fit
    from gaugecore.panel.silence import Silence


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument("--instrument", metavar="ID", help="which dial (needed when there are several)")
    parser.add_argument(
        "--port", required=True, metavar="URL", help="device name, socket://HOST:PORT, or virtual:?seed=N"
    )
    parser.add_argument(
        "--channel", type=int, metavar="N", help="of the board (default: its place in the panel)"
    )
    parser.add_argument(
        "--readings", type=int, default=21, metavar="N", help="a cycle, both ways (default 21)"
    )
    parser.add_argument(
        "--cycles", type=int, default=1, metavar="N", help="default 1; from 3 the repeatability can be told"
    )
    parser.add_argument(
        "--range", nargs=2, type=float, metavar=("LOW", "HIGH"), help="the safe range, if it is known"
    )
    parser.add_argument(
        "--out",
        type=Path,
        metavar="FILE.csv",
        help="readings file (default: beside the panel, named after both)",
    )
    parser.add_argument("--resume", action="store_true", help="go on with the readings that are in the file")
    parser.add_argument("--force", action="store_true", help="replace a readings file that is there already")
    parser.add_argument(
        "--answers", type=Path, metavar="FILE", help="take the answers from a file, one a line"
    )
    parser.add_argument(
        "--observe", action="store_true", help="virtual boards: let the simulated eye find the range and read"
    )
    parser.add_argument("--store", action=BooleanOptionalAction, help="store the fit in the panel unasked")
    add_silence_arguments(parser, what="relax, or a command inside the safe range to park at")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Job:
    """What is calibrated, and where the readings go."""

    panel: Panel
    instrument: Instrument
    channel: int
    out: Path
    silence: Silence
    earlier: tuple[Reading, ...] = ()
    comments: tuple[str, ...] = ()


def run(args: Namespace) -> Outcome:
    """Calibrate one instrument."""
    from gaugecore.panel.needle_of import check_kind, port_for
    from gaugecore.panel.silence import store_watchdog

    job = _job(args)
    talk = Talk(args.answers)
    stopped = False
    with ended_gently(), Board.open(port_for(args.port, job.panel)) as board:
        if args.observe and not board.identity.virtual:
            raise InputError("only a virtual board has an eye", where=args.port, accepted="without --observe")
        check_channel(board, job.channel)
        check_kind(job.instrument, board.limits(job.channel).kind, channel=job.channel)
        store_watchdog(board, job.silence)
        with Session(board, _setting(args, job), on_change=_shower(talk, args.observe)) as session:
            try:
                _take_all(args, job, session, talk)
            except Stopped:
                stopped = True
    state = session.state
    if state.unsaved:
        session.save()
    fit, why_not = _fit(job, state)
    if args.store and fit is None:
        kept = f"; the readings are kept in {job.out}" if state.readings else ""
        raise FitError(f"nothing is stored in {args.panel}, there is no fit: {why_not}{kept}")
    stored = fit is not None and _wants_store(args, talk, fit, stopped)
    if stored:
        _store(args.panel, job, state, fit)
    ended = Ended(
        instrument=job.instrument.id,
        panel=args.panel,
        out=job.out,
        port=args.port,
        channel=job.channel,
        state=state,
        fit=fit,
        why_not=why_not,
        stored=stored,
    )
    return Outcome(report=as_json(ended, board), text=as_text(ended))


def _job(args: Namespace) -> _Job:
    from gaugecore.panel.needle_of import channel_of
    from gaugecore.panel.silence import parse_silence

    panel = load_panel(args.panel)
    instrument = the_one(panel, args.instrument, path=args.panel)
    name = args.panel.name.removesuffix(".json").removesuffix(".panel")
    out = args.out or args.panel.with_name(f"{name}.{instrument.id}.readings.csv")
    earlier: tuple[Reading, ...] = ()
    comments: tuple[str, ...] = ()
    there = is_there(out)
    if args.resume and there:
        text = read_text(out)
        earlier, comments = parse_readings(text, where=str(out)), comments_in(text)
    elif there and not args.force:
        raise OutputError(
            "the file is there already",
            where=str(out),
            accepted="--resume to go on with it, --force to replace it, or another --out",
        )
    elif not out.parent.is_dir():
        raise OutputError("there is no such folder", where=str(out.parent), accepted="a folder that exists")
    return _Job(
        panel=panel,
        instrument=instrument,
        channel=args.channel if args.channel is not None else channel_of(panel, instrument),
        out=out,
        silence=_silence(parse_silence(args.watchdog, args.on_silence), instrument),
        earlier=earlier,
        comments=comments,
    )


def _silence(silence: Silence, instrument: Instrument) -> Silence:
    """Look at what the needle is to do, as far as it can be told before its range is known."""
    from gaugecore.panel.needle_of import widest_commands
    from gaugecore.panel.silence import park_command

    for instrument_id, loss in silence.losses.items():
        if instrument_id not in ("", instrument.id):
            raise InputError("another dial is calibrated", found=instrument_id, accepted=instrument.id)
        park_command(loss, widest_commands(instrument), where="--on-silence")
    return silence


def _setting(args: Namespace, job: _Job) -> Setting:
    from gaugecore.face.scale import angle_range_deg
    from gaugecore.panel.needle_of import clockwise_with_command, widest_commands

    today = f"{job.instrument.title}, {datetime.date.today().isoformat()}"
    today += ", read by the eye of a virtual board: invented data" if args.observe else ""
    comments = job.comments if today in job.comments else (*job.comments, today)
    return Setting(
        channel=job.channel,
        clockwise_with_command=clockwise_with_command(job.instrument),
        widest=widest_commands(job.instrument),
        arc_deg=angle_range_deg(job.instrument.face.scale),
        readings=args.readings,
        cycles=args.cycles,
        out=job.out,
        comment="\n".join(comments),
        idle_s=IDLE_S,
    )


def _take_all(args: Namespace, job: _Job, session: Session, talk: Talk) -> None:
    from gaugecore.board.range_finder import find_range
    from gaugecore.board.session import take_readings
    from gaugecore.face.scale import angle_range_deg

    unit = COMMAND_UNITS[job.instrument.movement.kind]
    if not args.observe:
        clear_the_sweep(talk)
    if args.range is not None:
        low, high = args.range
        session.set_range(low, high, job.earlier)
    elif job.earlier:
        session.set_range(*session.stored_range(), job.earlier)
    elif args.observe:
        arc_deg = angle_range_deg(job.instrument.face.scale)
        find_range(session, lambda: session.board.eye_deg(job.channel), arc_deg=arc_deg)
    else:
        agree_range(talk, session, unit=unit)
    _store_loss(session, job)
    if args.observe:
        take_readings(session, lambda: session.board.eye_deg(job.channel))
    else:
        take(talk, session, job.instrument)


def _store_loss(session: Session, job: _Job) -> None:
    """Store what the needle does on silence, now that its range is known."""
    from gaugecore.panel.silence import park_command

    losses, limits = job.silence.losses, session.state.limits
    loss = losses.get(job.instrument.id, losses.get(""))
    if loss is not None and limits is not None:
        session.board.set_loss(job.channel, park_command(loss, limits, where="--on-silence"))


def _shower(talk: Talk, observe: bool) -> Callable[[SessionState], None]:
    """Return what shows how far an observed session is, and that a needle nobody asked for was let go."""
    was_dozing = False

    def show(state: SessionState) -> None:
        nonlocal was_dozing
        if state.dozing and not was_dozing:
            talk.say(
                f"\n  Nothing was asked for {IDLE_S / 60:.0f} minutes: the needle is let go. It goes back to "
                "its place when you press Enter; read it then."
            )
        was_dozing = state.dozing
        if observe and sys.stderr.isatty() and state.targets:
            end = "\n" if state.doing is Doing.DONE else ""
            text = f"\r{len(state.readings)} of {len(state.targets)} readings"
            print(text, end=end, file=sys.stderr, flush=True)  # noqa: T201

    return show


def _fit(job: _Job, state: SessionState) -> tuple[Fit | None, str | None]:
    from gaugecore.panel.fit_for import fit_for

    if not state.readings:
        return None, "no readings were taken"
    try:
        return fit_for(job.instrument, state.readings), None
    except (FitError, ReadingsError) as error:
        return None, str(error)


def _wants_store(args: Namespace, talk: Talk, fit: Fit, stopped: bool) -> bool:
    if args.store is not None or args.observe or stopped:
        return bool(args.store)
    suspects = f", {len(fit.suspect_rows)} rows look wrong" if fit.suspect_rows else ""
    try:
        answer = talk.ask(f"The map is fitted{suspects}. Store it in {args.panel}? Type yes or no:")
    except Stopped:
        return False
    return answer.lower() in ("y", "yes")


def _store(path: Path, job: _Job, state: SessionState, fit: Fit | None) -> None:
    # the file may have been edited meanwhile: this calibration is added to what is there now
    sitting = Sitting(taken_on=datetime.date.today().isoformat(), readings=state.readings, fit=fit)
    try:
        add_session(path, job.instrument.id, sitting)
    except (InputError, OutputError) as error:
        raise OutputError(f"{error}; the readings are kept in {job.out}") from error
