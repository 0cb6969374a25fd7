"""say what a movement makes of its needle, before it is bought.

Reach, torque, speed, pointing budget and the trains that would fit, for each instrument. With --trace, a
recording (CSV with a time_s column and one named as the instrument's field, or its id) is replayed through
sampling, damping and movement; without it a step over a third of the scale. With --plot, the
response as a picture. With --like, another movement is tried in its place: a generic class
or one of your own; with --train, one of the trains that would fit. --store keeps what was tried in the
panel. Nothing is changed when the verb refuses. Exit code 1 when a finding is a fault.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from gaugecore.errors import InputError
from gaugecore.face.scale import angle_range_deg
from gaugecore.files import write_outputs
from gaugecore.findings import Severity, worst
from gaugecore.movement.library import GENERIC, Library, own_library_path, save_library
from gaugecore.movement.outlook import Outlook, outlook
from gaugecore.movement.propose import train_words
from gaugecore.movement.replay import Conditions, Replay, replay, step_response
from gaugecore.panel.document import Instrument
from gaugecore.panel.panel_file import PanelFile, open_panel_file
from needlewright.cli.all_or_none import all_or_none
from needlewright.cli.check import as_json, as_text
from needlewright.cli.like import TRAINS, library_with, store, with_movement, with_train
from needlewright.cli.movement_words import movement_json, movement_lines
from needlewright.cli.outcome import Exit, Outcome
from needlewright.cli.picture import picture_format
from needlewright.cli.trace import read_trace
from needlewright.cli.which import the_ones

CAUTION = (
    "Figures are typical until measured. Keep fingers and wires out of the needle's sweep; a servo may jump "
    "when it is first powered. Not for use in a real aircraft, vehicle or vessel."
)
#: Options that shape the replay of a trace, by the name of the condition they set.
_OF_A_TRACE = {
    "rate_hz": "--rate",
    "filter_s": "--filter",
    "most_deg_per_s": "--slew",
    "most_deg_per_s2": "--ramp",
}


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument("--instrument", metavar="ID", help="this one only; all of them when left out")
    parser.add_argument(
        "--like", metavar="NAME", help=f"try one of your own movements, or of: {', '.join(GENERIC)}"
    )
    parser.add_argument("--train", choices=TRAINS, help="try the train of this kind that would fit")
    parser.add_argument(
        "--store", action="store_true", help="with --like or --train: put what is tried into the panel"
    )
    parser.add_argument("--remember", action="store_true", help="keep the movement among your own")
    parser.add_argument("--tilt", type=float, default=90.0, metavar="DEG", help="tilt of the panel from flat")
    parser.add_argument("--trace", type=Path, metavar="FILE.csv", help="a recording to replay")
    parser.add_argument("--rate", type=float, metavar="HZ", help="values a second of the trace (default 20)")
    parser.add_argument("--filter", type=float, metavar="S", help="time constant (default: its damping)")
    parser.add_argument("--slew", type=float, metavar="DEG/S", help="limit of speed (default: its damping)")
    parser.add_argument("--ramp", type=float, metavar="DEG/S2", help="limit of acceleration")
    parser.add_argument("--plot", type=Path, metavar="FILE", help="picture of the response: .png, .pdf, .svg")
    parser.add_argument("--force", action="store_true", help="replace a picture that is there already")


def run(args: Namespace) -> Outcome:
    """Look at the movements."""
    _check_words(args)
    opened = open_panel_file(args.panel)
    instruments = the_ones(opened.panel, args.instrument, path=args.panel)
    if (args.plot or args.trace) and len(instruments) != 1:
        raise InputError(
            "a trace and a picture are of one instrument",
            where="--instrument",
            accepted=", ".join(i.id for i in instruments) or "a panel with at least one instrument",
        )
    if args.like is not None:
        instruments = [with_movement(instrument, args.like) for instrument in instruments]
    if args.train is not None:
        fitting = [_outlook(instrument, args.tilt).proposals for instrument in instruments]
        instruments = [with_train(*one, args.train) for one in zip(instruments, fitting, strict=True)]
    library = library_with(instruments) if args.remember else None
    looks = [_outlook(instrument, args.tilt) for instrument in instruments]
    responses = [
        _response(instrument, look, args) for instrument, look in zip(instruments, looks, strict=True)
    ]
    picture = _picture(instruments[0], responses[0], args) if args.plot else b""
    files = _write(args, opened, picture, library, instruments)
    done = _said(args, instruments, files)
    found = [
        finding.within(f"instruments.{instrument.id}")
        for instrument, look in zip(instruments, looks, strict=True)
        for finding in look.findings
    ]
    seen = list(zip(instruments, looks, responses, strict=True))
    parts = [line for one in seen for line in (*movement_lines(*one), "")]
    return Outcome(
        report={
            "instruments": [movement_json(*one) for one in seen],
            "findings": [as_json(finding) for finding in found],
            "caution": CAUTION,
            "stored": [instrument.id for instrument in instruments] if args.store else [],
            "remembered": sorted({i.movement.name for i in instruments}) if args.remember else [],
            "files": [str(path) for path in files],
        },
        text="\n".join([*parts, as_text(found), *done, "", CAUTION]),
        exit_code=Exit.FAULT if worst(found) is Severity.FAULT else Exit.DONE,
    )


def _check_words(args: Namespace) -> None:
    """Refuse words that do not go together, before anything is read."""
    if args.plot:
        picture_format(args.plot)
    if not -180.0 <= args.tilt <= 180.0:
        raise InputError("the tilt is out of range", where="--tilt", found=args.tilt, accepted="-180 to 180°")
    if args.store and args.like is None and args.train is None:
        raise InputError(
            "there is nothing to store", where="--store", accepted="--like NAME or --train KIND beside it"
        )
    for option in _OF_A_TRACE.values():
        value = getattr(args, option.removeprefix("--"))
        if value is not None and args.trace is None:
            raise InputError(
                "it shapes the replay of a trace, and there is none",
                where=option,
                found=value,
                accepted="--trace FILE.csv beside it",
            )


def _write(
    args: Namespace,
    opened: PanelFile,
    picture: bytes,
    library: Library | None,
    instruments: Sequence[Instrument],
) -> list[Path]:
    """Write the picture, the user's own movements and the panel: all that was asked for, or none."""
    own = [own_library_path()] if library is not None else []
    files: list[Path] = []
    with all_or_none(*([args.plot] if args.plot else []), *own):
        if args.plot:
            files = write_outputs(args.plot.parent, {args.plot.name: picture}, force=args.force)
        if library is not None:
            save_library(library, own_library_path())
        if args.store:
            store(opened, instruments)
    return files


def _said(args: Namespace, instruments: Sequence[Instrument], files: Sequence[Path]) -> list[str]:
    """Return what was written, stored and remembered."""
    lines = [f"wrote {path}" for path in files]
    if args.store:
        for instrument in instruments:
            lines.append(
                f"stored in {args.panel}: {instrument.id} has the movement {instrument.movement.name!r}, "
                f"train: {train_words(instrument.train)}"
            )
            if instrument.calibration.sessions:
                lines.append(
                    f"    {instrument.id} was calibrated with what it had before: calibrate it again"
                )
    if args.remember:
        names = sorted({instrument.movement.name for instrument in instruments})
        lines += [f"remembered for every panel as {name!r}, in {own_library_path()}" for name in names]
    return lines


@contextmanager
def _of(instrument: Instrument) -> Iterator[None]:
    """Name the instrument in what is refused inside."""
    try:
        yield
    except InputError as error:
        fault, place = error.fault, f"instruments.{instrument.id}"
        if fault.where:
            place += f"{', ' if ' ' in fault.where else '.'}{fault.where}"
        raise InputError(fault.what, where=place, found=fault.found, accepted=fault.accepted) from error


def _outlook(instrument: Instrument, tilt_deg: float) -> Outlook:
    low_deg, high_deg = angle_range_deg(instrument.face.scale)
    with _of(instrument):
        return outlook(
            instrument.movement,
            instrument.train,
            instrument.pointer,
            arc_deg=high_deg - low_deg,
            tilt_deg=tilt_deg,
        )


def _response(instrument: Instrument, look: Outlook, args: Namespace) -> Replay | None:
    """Return the answer to the trace, else to a step; None when there is no arc to answer on."""
    moved = instrument.movement, instrument.train, instrument.pointer
    if args.trace is None:
        step_deg = min(look.arc_deg, look.reached.span_deg) / 3.0
        if step_deg <= 0.0:
            return None
        with _of(instrument):
            return step_response(*moved, step_deg=step_deg)
    conditions = _conditions(instrument, args)
    times_s, angles_deg = read_trace(args.trace, instrument)
    with _of(instrument):
        return replay(times_s, angles_deg, *moved, conditions=conditions)


def _conditions(instrument: Instrument, args: Namespace) -> Conditions:
    damping = instrument.damping
    try:
        return Conditions(
            rate_hz=20.0 if args.rate is None else args.rate,
            filter_s=damping.time_constant_s if args.filter is None else args.filter,
            most_deg_per_s=damping.most_deg_per_s if args.slew is None else args.slew,
            most_deg_per_s2=args.ramp,
        )
    except InputError as error:
        fault = error.fault
        option = _OF_A_TRACE.get(fault.where, fault.where)
        raise InputError(fault.what, where=option, found=fault.found, accepted=fault.accepted) from error


def _picture(instrument: Instrument, response: Replay | None, args: Namespace) -> bytes:
    from gaugecore.movement.trace_plot import plot_replay

    if response is None:
        raise InputError(
            "there is no response to draw: the movement does not reach the scale",
            where=f"instruments.{instrument.id}",
        )
    return plot_replay(response, title=instrument.title, file_format=picture_format(args.plot))
