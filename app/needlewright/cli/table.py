"""make the integer table that the firmware evaluates.

From an instrument of a panel, or from a fit file with the two ranges it joins. The smallest table within the
error bound is kept; its worst error is checked over every raw value, rounding included. With --out, it is
written as a C99 header, a MicroPython module, CSV and JSON, which give the same integer for every raw value.
Beside the header go the C sources of the firmware, and a needles.h that joins them to the table.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import Any

from gaugecore.calibration.fit_file import read_fit
from gaugecore.errors import InputError
from gaugecore.files import write_outputs
from gaugecore.panel.program_of import Moved
from gaugecore.panel.raw_values import raw_of_value
from gaugecore.panel.store import load_panel
from gaugecore.panel.table_of import table_of
from gaugecore.table.from_fit import DEFAULT_MAX_ERROR, Wanted, straight, table_from_fit
from gaugecore.table.integer import Origin, Table
from gaugecore.table.written import FORMATS, written
from needlewright.cli.outcome import Outcome
from needlewright.cli.which import the_one
from needlewright.table_files import program_files


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, nargs="?", metavar="PANEL", help="the panel file")
    parser.add_argument("--instrument", metavar="ID", help="which dial of the panel")
    parser.add_argument("--fit", type=Path, metavar="FIT.json", help="a fit file, instead of a panel")
    parser.add_argument("--raw", nargs=2, type=int, metavar=("LO", "HI"), help="with --fit: raw values")
    parser.add_argument(
        "--angle", nargs=2, type=float, metavar=("LO", "HI"), help="with --fit: dial angles at these, degrees"
    )
    parser.add_argument("--name", default="table", help="with --fit: name for files and identifiers")
    parser.add_argument(
        "--max-error",
        type=float,
        default=DEFAULT_MAX_ERROR,
        metavar="X",
        help=f"largest error against the fit, rounding included, µs or steps (default {DEFAULT_MAX_ERROR:g})",
    )
    parser.add_argument("--timer-hz", type=float, metavar="F", help="count ticks of this timer instead of µs")
    parser.add_argument(
        "--pin",
        action="append",
        default=[],
        metavar="WHERE",
        help="exact to the nearest integer at: ends, or an indicated value (with --fit: a raw value);"
        " repeatable; detent marks always are",
    )
    parser.add_argument("--hysteresis", type=int, metavar="N", help="raw units before the direction changes")
    parser.add_argument(
        "--one-map", action="store_true", help="one map through the middle of both directions"
    )
    parser.add_argument("--clamp", action="store_true", help="stop at the ends of the calibrated arc")
    parser.add_argument("--flash", type=int, metavar="BYTES", help="most bytes of flash, code included")
    parser.add_argument("--as", dest="formats", metavar="LIST", help=f"of {','.join(FORMATS)} (default: all)")
    parser.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for the files; without it none are written"
    )
    parser.add_argument("--force", action="store_true", help="replace files that are there already")


def run(args: Namespace) -> Outcome:
    """Make the table, write it, say how good it is."""
    formats = _formats(args.formats)
    table, movement = _from_fit_file(args) if args.fit is not None else _from_panel(args)
    files: list[Path] = []
    without_program = ""
    if args.out is not None:
        contents = written(table, formats)
        if "c" in formats:
            program = program_files([(table, movement)], args.out, force=args.force)
            contents |= program.contents
            without_program = program.why_none
        files = write_outputs(args.out, contents, force=args.force)
    report = _report(table, files) | {"without_program": without_program or None}
    return Outcome(report=report, text="\n".join(filter(None, (_text(table, files), without_program))))


def _from_panel(args: Namespace) -> Moved:
    if args.panel is None or args.raw is not None or args.angle is not None:
        raise InputError(
            "a table needs a panel and an instrument, or a fit with both ranges",
            accepted="table PANEL --instrument ID, or table --fit FIT.json --raw LO HI --angle LO HI",
        )
    panel = load_panel(args.panel)
    instrument = the_one(panel, args.instrument, path=args.panel)
    pins: list[int] = []
    for value in _pin_values(args.pin):
        raw = raw_of_value(instrument, value)
        if raw is None:
            raise InputError(
                "the raw range or the scale does not reach a value to pin", where="--pin", found=value
            )
        pins.append(raw)
    return table_of(panel, instrument, _wanted(args, tuple(pins))), instrument.movement


def _from_fit_file(args: Namespace) -> Moved:
    if args.panel is not None or args.instrument is not None:
        raise InputError("a table comes from a panel or from --fit, not from both")
    if args.raw is None or args.angle is None:
        raise InputError("--fit needs both ranges", accepted="--raw LO HI --angle LO HI")
    low, high = args.raw
    if not all(-36000 <= angle <= 36000 for angle in args.angle):
        raise InputError(
            "not a dial angle", where="--angle", found=args.angle, accepted="-36000 to 36000 degrees"
        )
    pins = _pin_values(args.pin)
    if any(value != int(value) for value in pins):
        raise InputError("a raw value to pin must be whole", where="--pin", found=args.pin)
    table = table_from_fit(
        read_fit(args.fit),
        raw_range=(low, high),
        angle_deg=straight((low, high), (args.angle[0], args.angle[1])),
        wanted=_wanted(args, tuple(int(value) for value in pins)),
        origin=Origin.named(args.name),
    )
    return table, None


def _wanted(args: Namespace, pinned_raw: tuple[int, ...]) -> Wanted:
    return Wanted(
        max_error=args.max_error,
        timer_hz=args.timer_hz,
        pin_ends="ends" in args.pin,
        pinned_raw=pinned_raw,
        hysteresis=args.hysteresis,
        flash_bytes=args.flash,
        clamp=args.clamp,
        one_map=args.one_map,
    )


def _pin_values(words: list[str]) -> list[float]:
    values: list[float] = []
    for word in words:
        if word == "ends":
            continue
        try:
            values.append(float(word))
        except ValueError as error:
            raise InputError(
                "not a place to pin", where="--pin", found=word, accepted="ends, or a number"
            ) from error
        if abs(values[-1]) >= 2**53 or values[-1] != values[-1]:
            raise InputError("not a place to pin", where="--pin", found=word, accepted="ends, or a number")
    return values


def _formats(text: str | None) -> tuple[str, ...]:
    if text is None:
        return tuple(FORMATS)
    names = tuple(dict.fromkeys(name.strip() for name in text.split(",")))
    for name in names:
        if name not in FORMATS:
            raise InputError("no such form of a table", where="--as", found=name, accepted=", ".join(FORMATS))
    return names


def _report(table: Table, files: list[Path]) -> dict[str, Any]:
    from gaugecore.table.text import summary

    return {**summary(table), "files": [str(path) for path in files]}


def _text(table: Table, files: list[Path]) -> str:
    from gaugecore.table.colophon import colophon
    from gaugecore.table.readable import readable_lines

    shown = (*colophon(table)[1:-2], table.choice, *readable_lines(table))
    lines = [*shown, *(str(path) for path in files)]
    return "\n".join(line for line in lines if line)
