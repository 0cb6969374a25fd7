"""say what a movement makes of its needle, before it is bought.

Reach, torque, speed, pointing budget and the trains that would fit, for each instrument. With --trace, a
recording (CSV with a time_s column and one named as the instrument's field, or its id) is replayed through
sampling, damping and movement; without it a step over a third of the scale. With --plot, the
response as a picture. With --like, another movement is tried in its place: a generic class
or one of your own. Exit code 1 when a finding is a fault.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import Any

from gaugecore.errors import InputError
from gaugecore.face.scale import angle_range_deg
from gaugecore.files import write_outputs
from gaugecore.findings import Severity, worst
from gaugecore.movement.library import GENERIC, own_library_path, remember
from gaugecore.movement.outlook import Outlook, outlook
from gaugecore.movement.pointing import Care
from gaugecore.movement.replay import Conditions, Replay, replay, step_response
from gaugecore.panel.document import Instrument
from gaugecore.panel.panel_file import open_panel_file
from needlewright.cli.check import as_json, as_text
from needlewright.cli.like import store, with_movement
from needlewright.cli.outcome import Exit, Outcome
from needlewright.cli.picture import picture_format
from needlewright.cli.trace import read_trace
from needlewright.cli.which import the_ones

CAUTION = (
    "Figures are typical until measured. Keep fingers and wires out of the needle's sweep; a servo may jump "
    "when it is first powered. Not for use in a real aircraft, vehicle or vessel."
)


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")
    parser.add_argument("--instrument", metavar="ID", help="this one only; all of them when left out")
    parser.add_argument(
        "--like", metavar="NAME", help=f"try one of your own movements, or of: {', '.join(GENERIC)}"
    )
    parser.add_argument("--store", action="store_true", help="with --like: put that movement into the panel")
    parser.add_argument("--remember", action="store_true", help="keep the movement among your own")
    parser.add_argument("--tilt", type=float, default=90.0, metavar="DEG", help="tilt of the panel from flat")
    parser.add_argument("--trace", type=Path, metavar="FILE.csv", help="a recording to replay")
    parser.add_argument("--rate", type=float, default=20.0, metavar="HZ", help="values a second (default 20)")
    parser.add_argument("--filter", type=float, metavar="S", help="time constant (default: its damping)")
    parser.add_argument("--slew", type=float, metavar="DEG/S", help="limit of speed (default: its damping)")
    parser.add_argument("--ramp", type=float, metavar="DEG/S2", help="limit of acceleration")
    parser.add_argument("--plot", type=Path, metavar="FILE", help="picture of the response: .png, .pdf, .svg")
    parser.add_argument("--force", action="store_true", help="replace a picture that is there already")


def run(args: Namespace) -> Outcome:
    """Look at the movements."""
    file_format = picture_format(args.plot) if args.plot else None
    if not -180.0 <= args.tilt <= 180.0:
        raise InputError("the tilt is out of range", where="--tilt", found=args.tilt, accepted="-180 to 180°")
    opened = open_panel_file(args.panel)
    instruments = the_ones(opened.panel, args.instrument, path=args.panel)
    if args.like is not None:
        instruments = [with_movement(instrument, args.like) for instrument in instruments]
    if args.remember:
        for instrument in instruments:
            remember(instrument.movement, own_library_path())
    if args.store:
        store(opened, instruments, like=args.like)
    if (args.plot or args.trace) and len(instruments) != 1:
        raise InputError(
            "a trace and a picture are of one instrument",
            where="--instrument",
            accepted=", ".join(i.id for i in instruments) or "a panel with at least one instrument",
        )
    looks = [(instrument, _outlook(instrument, args.tilt)) for instrument in instruments]
    responses = [_response(instrument, look, args) for instrument, look in looks]
    files: list[Path] = []
    if args.plot and file_format:
        from gaugecore.movement.trace_plot import plot_replay

        if responses[0] is None:
            raise InputError("there is no response to draw: the movement does not reach the scale")
        picture = plot_replay(responses[0], title=instruments[0].title, file_format=file_format)
        files = write_outputs(args.plot.parent, {args.plot.name: picture}, force=args.force)
    found = [finding.within(f"instruments.{i.id}") for i, look in looks for finding in look.findings]
    parts = [_text(i, look, answer) for (i, look), answer in zip(looks, responses, strict=True)]
    parts += [as_text(found), *(f"wrote {path}" for path in files), "", CAUTION]
    return Outcome(
        report={
            "instruments": [
                _json(i, look, answer) for (i, look), answer in zip(looks, responses, strict=True)
            ],
            "findings": [as_json(finding) for finding in found],
            "caution": CAUTION,
            "files": [str(path) for path in files],
        },
        text="\n".join(parts),
        exit_code=Exit.FAULT if worst(found) is Severity.FAULT else Exit.DONE,
    )


def _outlook(instrument: Instrument, tilt_deg: float) -> Outlook:
    low_deg, high_deg = angle_range_deg(instrument.face.scale)
    return outlook(
        instrument.movement,
        instrument.train,
        instrument.pointer,
        arc_deg=high_deg - low_deg,
        tilt_deg=tilt_deg,
    )


def _response(instrument: Instrument, look: Outlook, args: Namespace) -> Replay | None:
    """Return the answer to the trace, else to a step; None when there is no arc to answer on."""
    if args.trace is None:
        step_deg = min(look.arc_deg, look.reached.span_deg) / 3.0
        if step_deg <= 0.0:
            return None
        return step_response(instrument.movement, instrument.train, instrument.pointer, step_deg=step_deg)
    times_s, angles_deg = read_trace(args.trace, instrument)
    damping = instrument.damping
    conditions = Conditions(
        rate_hz=args.rate,
        filter_s=damping.time_constant_s if args.filter is None else args.filter,
        most_deg_per_s=damping.most_deg_per_s if args.slew is None else args.slew,
        most_deg_per_s2=args.ramp,
    )
    return replay(
        times_s,
        angles_deg,
        instrument.movement,
        instrument.train,
        instrument.pointer,
        conditions=conditions,
    )


def _json(instrument: Instrument, look: Outlook, response: Replay | None) -> dict[str, Any]:
    return {
        "instrument": instrument.id,
        "arc_deg": look.arc_deg,
        "reach_deg": look.reached.span_deg,
        "resolution_deg": look.budget.resolution_deg,
        "pointer": {
            "mass_g": look.mass.mass_g,
            "centre_mm": look.mass.centre_mm,
            "inertia_gmm2": look.mass.inertia_gmm2,
            "unbalance_gmm": look.mass.unbalance_gmm,
            "balanced_tail_mm": look.balanced_tail_mm,
        },
        "torque_mnm": look.able.torque_mnm,
        "load_mnm": look.able.load_mnm,
        "speed_deg_per_s": look.able.speed_deg_per_s,
        "acceleration_deg_per_s2": look.able.acceleration_deg_per_s2,
        "sweep_s": look.sweep_s,
        "start_stop_steps_per_s": look.start_stop_steps_per_s,
        "expected_error_deg": {care.value: look.budget.expected_deg(care) for care in Care},
        "accuracy_class": {care.value: look.budget.accuracy_class(care) for care in Care},
        "causes": [
            {"name": cause.name, "half_width_deg": cause.half_width_deg} for cause in look.budget.causes
        ],
        "trains": [
            {
                "words": proposal.words,
                "reach_deg": proposal.reach_deg,
                "resolution_deg": proposal.resolution_deg,
                "slack_deg": proposal.slack_deg,
                "expected_error_deg": proposal.expected_deg,
                "train": proposal.train.model_dump(mode="json"),
            }
            for proposal in look.proposals
        ],
        "response": None
        if response is None
        else {
            "lag_s": response.lag_s,
            "overshoot_deg": response.overshoot_deg,
            "worst_error_deg": response.worst_error_deg,
            "worst_at_s": response.worst_at_s,
            "rms_error_deg": response.rms_error_deg,
            "settled_error_deg": response.settled_error_deg,
        },
    }


def _text(instrument: Instrument, look: Outlook, response: Replay | None) -> str:
    sweep = "cannot move" if look.sweep_s is None else f"end to end in {look.sweep_s:.2f} s"
    tail = "none" if look.balanced_tail_mm is None else f"{look.balanced_tail_mm:.1f} mm"
    margin = "" if look.able.margin is None else f", {look.able.margin:.0f} times the load"
    lines = [
        f"{instrument.id}: {instrument.movement.name}",
        f"  reach       {look.reached.span_deg:.1f}° for a scale of {look.arc_deg:.1f}°",
        f"  pointer     {look.mass.mass_g:.2f} g, inertia {look.mass.inertia_gmm2:.0f} g·mm², unbalance "
        f"{look.mass.unbalance_gmm:.2f} g·mm; balanced by a tail of: {tail}",
        f"  torque      {look.able.torque_mnm:.3g} mN·m at the needle{margin}",
        f"  speed       {look.able.speed_deg_per_s:.0f}°/s, {sweep}",
    ]
    if look.start_stop_steps_per_s is not None:
        lines.append(f"  start-stop  {look.start_stop_steps_per_s:.0f} steps/s without a ramp")
    for care in Care:
        allowed = look.budget.accuracy_class(care)
        words = "worse than class 4" if allowed is None else f"class {allowed:g}"
        lines.append(
            f"  pointing    {look.budget.expected_deg(care):.2f}° ({words}), calibration: {care.value}"
        )
    causes = sorted(look.budget.causes, key=lambda cause: cause.half_width_deg, reverse=True)
    lines.append(
        "  causes      " + ", ".join(f"{cause.name} {cause.half_width_deg:.2f}°" for cause in causes[:4])
    )
    lines += [f"  would fit   {proposal.sentence()}" for proposal in look.proposals]
    if response is not None:
        lag = "not told" if response.lag_s is None else f"{response.lag_s * 1000.0:.0f} ms"
        settled = "" if response.settled_error_deg is None else f", at rest {response.settled_error_deg:.2f}°"
        lines.append(
            f"  response    lag {lag}, overshoot {response.overshoot_deg:.2f}°, worst error "
            f"{response.worst_error_deg:.1f}°{settled}"
        )
    return "\n".join([*lines, ""])
