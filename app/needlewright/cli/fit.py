"""fit the map from dial angle to command to readings, and say how good it is.

From a readings file alone, or from a readings file for an instrument of a panel, which then keeps
readings and fit as a new session. A fit names the rows it does not believe and what it cannot know.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path

from gaugecore.calibration.compare import Comparison, compare_fits
from gaugecore.calibration.csv_rows import read_text
from gaugecore.calibration.next_steps import NextSteps, next_steps
from gaugecore.calibration.pairs import parse_pairs, readings_of_pairs
from gaugecore.calibration.readings import Reading, read_readings
from gaugecore.calibration.result import Fit
from gaugecore.errors import InputError
from gaugecore.face.scale import angle_range_deg
from gaugecore.files import write_files
from gaugecore.findings import Finding, Severity
from gaugecore.panel.checks import detents_of
from gaugecore.panel.document import Instrument, Panel, Session
from gaugecore.panel.panel_file import add_session
from gaugecore.panel.store import load_panel
from gaugecore.panel.taken_on import checked_date, date_in_comment
from gaugecore.units import COMMAND_UNITS
from needlewright.cli.against import describe_change, earlier_fit
from needlewright.cli.outcome import Exit, Outcome
from needlewright.cli.picture import PictureFormat, picture_format
from needlewright.cli.which import the_one


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument(
        "paths", type=Path, nargs="+", metavar="FILE", help="READINGS.csv, or PANEL and READINGS.csv"
    )
    # the readings may follow the id, as in `fit PANEL --instrument ID READINGS.csv`
    parser.add_argument(
        "--instrument", nargs="+", metavar=("ID", "READINGS.csv"), help="the instrument of the panel"
    )
    parser.add_argument(
        "--pairs", action="store_true", help="the file holds raw,command pairs for an instrument"
    )
    parser.add_argument("--kind", choices=("servo", "stepper"), help="without a panel: the movement (servo)")
    parser.add_argument(
        "--limits", nargs=2, type=float, metavar=("LO", "HI"), help="without a panel: commands never exceeded"
    )
    parser.add_argument(
        "--taken-on",
        metavar="DATE",
        help="day the readings were taken, kept with them in the panel (default: the date in the file's first"
        " comment, if there is one)",
    )
    parser.add_argument("--out", type=Path, metavar="FIT.json", help="write the fit")
    parser.add_argument("--plot", type=Path, metavar="FILE", help="write a picture: .png, .pdf or .svg")
    parser.add_argument(
        "--against",
        metavar="OLD.json|N",
        help="compare with an earlier fit: a file, or a session of the panel",
    )
    parser.add_argument(
        "--wanted",
        type=float,
        metavar="DEG",
        help="say whether the needle is this accurate, and what it takes",
    )
    parser.add_argument("--force", action="store_true", help="replace files that are there already")


@dataclass(frozen=True, slots=True)
class _Job:
    readings_path: Path
    panel_path: Path | None = None
    panel: Panel | None = None
    instrument: Instrument | None = None


def run(args: Namespace) -> Outcome:
    """Fit, write what was asked for, and report."""
    from gaugecore.panel.fit_for import fit_for, fit_within

    plot_format = picture_format(args.plot) if args.plot is not None else None
    job = _job(args)
    taken_on = _taken_on(args, job)
    readings = _readings(job, pairs=args.pairs)
    earlier = earlier_fit(args.against, job.instrument) if args.against is not None else None
    where = str(job.readings_path)
    if job.instrument is not None:
        fit = fit_for(job.instrument, readings, where=where)
    else:
        limits = _limits(args.limits)
        fit = fit_within(readings, kind=args.kind or "servo", limits=limits, where=where)
    steps = next_steps(fit, readings, wanted_deg=args.wanted)
    comparison = compare_fits(earlier, fit) if earlier is not None else None
    findings = _findings(fit, job.instrument)
    _write(args, fit, readings, plot_format)
    lines = [f"{len(readings)} readings from {job.readings_path}"]
    lines += _report(fit, steps, comparison, args.against, findings)
    if job.instrument is not None and job.panel_path is not None:
        # added to what the file holds now; it may have been saved by another program meanwhile
        session = Session(taken_on=taken_on, readings=readings, fit=fit)
        add_session(job.panel_path, job.instrument.id, session)
        day = f"taken on {taken_on}" if taken_on else "its day not known (--taken-on says it)"
        lines += ["", f"stored in {job.panel_path} as a new session of {job.instrument.id}, {day}"]
    worst = any(finding.severity is Severity.FAULT for finding in findings)
    return Outcome(
        report=fit.model_dump(mode="json")
        | ({"next": steps.model_dump(mode="json")} if args.wanted is not None else {})
        | ({"comparison": comparison.model_dump(mode="json")} if comparison is not None else {}),
        text="\n".join(lines),
        exit_code=Exit.FAULT if worst else Exit.DONE,
    )


def _report(
    fit: Fit, steps: NextSteps, comparison: Comparison | None, against: str | None, findings: list[Finding]
) -> list[str]:
    """Return the report's paragraphs, an empty line before each."""
    from gaugecore.calibration.report import describe

    paragraphs = [
        [describe(fit)],
        describe_change(comparison, against) if comparison is not None and against is not None else [],
        steps.describe(COMMAND_UNITS[fit.kind]),
        [f"{finding.severity.value}: {finding.message} {finding.remedy}" for finding in findings],
    ]
    return [line for paragraph in paragraphs if paragraph for line in ("", *paragraph)]


def _job(args: Namespace) -> _Job:
    paths: list[Path] = list(args.paths)
    if args.instrument is None:
        if len(paths) != 1:
            raise InputError(
                "without --instrument there is one file to fit",
                found=f"{len(paths)} files",
                accepted="fit READINGS.csv, or fit PANEL --instrument ID READINGS.csv",
            )
        if args.pairs:
            raise InputError(
                "--pairs needs the panel that says what a raw value means", accepted="fit PANEL …"
            )
        return _Job(paths[0])
    instrument_id, paths = args.instrument[0], paths + [Path(name) for name in args.instrument[1:]]
    if len(paths) != 2 or args.kind or args.limits:
        raise InputError(
            "with --instrument there are a panel and a readings file, and the panel knows the movement",
            accepted="fit PANEL --instrument ID READINGS.csv",
        )
    panel = load_panel(paths[0])
    instrument = the_one(panel, instrument_id, path=paths[0])
    return _Job(paths[1], paths[0], panel, instrument)


def _taken_on(args: Namespace, job: _Job) -> str | None:
    if args.taken_on is None:
        return date_in_comment(read_text(job.readings_path))
    if job.instrument is None:
        raise InputError(
            "only a panel keeps the day",
            where="--taken-on",
            accepted="fit PANEL --instrument ID READINGS.csv",
        )
    return checked_date(args.taken_on, where="--taken-on")


def _readings(job: _Job, *, pairs: bool) -> tuple[Reading, ...]:
    if not pairs or job.instrument is None:
        return read_readings(job.readings_path)
    import numpy as np

    from gaugecore.panel.raw_values import angles_of_raw

    instrument = job.instrument
    return readings_of_pairs(
        parse_pairs(read_text(job.readings_path), where=str(job.readings_path)),
        lambda raw: float(angles_of_raw(instrument, np.array([raw]))[0]),
    )


def _limits(given: list[float] | None) -> tuple[float, float] | None:
    if given is None:
        return None
    low, high = given
    if not low < high:
        raise InputError(
            "limits", where="--limits", found=f"{low:g} {high:g}", accepted="the lower one first"
        )
    return low, high


def _findings(fit: Fit, instrument: Instrument | None) -> list[Finding]:
    if instrument is None:
        return []
    from gaugecore.calibration.checks import check_fit

    return check_fit(fit, arc_deg=angle_range_deg(instrument.face.scale), detents=detents_of(instrument))


def _write(
    args: Namespace, fit: Fit, readings: tuple[Reading, ...], plot_format: PictureFormat | None
) -> None:
    files: dict[Path, bytes] = {}
    if args.out is not None:
        files[args.out] = (fit.model_dump_json(indent=2) + "\n").encode()
    if plot_format is not None:
        from gaugecore.calibration.plot import plot_fit

        files[args.plot] = plot_fit(fit, readings, file_format=plot_format)
    if args.out is not None and args.out == args.plot:
        raise InputError("the fit and its picture cannot be one file", found=str(args.out))
    write_files(files, force=args.force)
