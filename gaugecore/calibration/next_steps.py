"""What to do at the bench after a fit: rows to read again, and whether a wanted accuracy is reached."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gaugecore.calibration.enough import is_enough, read_again, readings_needed
from gaugecore.calibration.observations import observe
from gaugecore.calibration.plan import Target
from gaugecore.calibration.readings import Reading
from gaugecore.calibration.result import BAND, Fit
from gaugecore.errors import InputError
from gaugecore.values import Part

_WIDEST_WANTED_DEG = 45.0


class NextSteps(Part):
    """What to read next.

    Attributes
    ----------
    again : tuple of (command, direction, cycle)
        Rows to read again, in the order to take them.
    wanted_deg : float or None
        The accuracy asked for: error of the needle that 95 % of the targets keep.
    band_deg : float
        Half-width of the 95 % band at its worst.
    enough : bool or None
        Whether the band lies within the wanted accuracy all along the arc; None when nothing was asked.
    readings : int
        Readings that count so far.
    readings_usually : int or None
        Readings with which half of the simulated drives reached it; None: not asked, or no measured plan did.
    """

    again: tuple[tuple[float, str, int], ...]
    wanted_deg: float | None
    band_deg: float
    enough: bool | None
    readings: int
    readings_usually: int | None

    def describe(self, unit: str) -> list[str]:
        """Return the steps as lines for people, none when there is nothing to say; ``unit`` of commands."""
        said = []
        if self.again:
            rows = ", ".join(f"{command:g} {unit} {way}" for command, way, _ in self.again)
            said.append(f"  read again: {rows}; note them as cycle {self.again[0][2]}")
        if self.wanted_deg is not None:
            said.append(f"  {self._on_accuracy(self.wanted_deg)}")
        return ["next", *said] if said else []

    def _on_accuracy(self, wanted_deg: float) -> str:
        band = f"the band is ±{self.band_deg:.2f}° at its worst, wanted is ±{wanted_deg:g}°"
        if self.enough:
            return f"enough: {band}"
        if self.readings_usually is None:
            return f"not enough: {band}; no simulated plan got there at this reading step: read finer"
        if self.readings_usually > self.readings:
            usual = f"half of such drives reach it with {self.readings_usually} readings"
            return f"not enough: {band}; {usual}, these are {self.readings}"
        return (
            f"not enough: {band}; half of such drives reach it with {self.readings_usually} readings, "
            "this one takes more: read another cycle at marks in between"
        )


def next_steps(fit: Fit, readings: Sequence[Reading], *, wanted_deg: float | None = None) -> NextSteps:
    """Return what to read next.

    Parameters
    ----------
    fit : Fit
        The fit of ``readings``.
    readings : sequence of Reading
        All rows, in their order.
    wanted_deg : float or None
        Error of the needle that 95 % of the targets shall keep.

    Raises
    ------
    InputError
        If the wanted accuracy is none.
    """
    if wanted_deg is not None and not 0.0 < wanted_deg <= _WIDEST_WANTED_DEG:
        raise InputError(
            "no such accuracy",
            found=f"{wanted_deg:g}°",
            accepted=f"degrees above 0, at most {_WIDEST_WANTED_DEG:g}",
        )
    seen = observe(readings)
    usually = None
    if wanted_deg is not None:
        usually = readings_needed(wanted_deg, resolution_deg=seen.resolution_deg, kind=fit.kind)
    return NextSteps(
        again=tuple(_as_row(target) for target in read_again(fit, readings)),
        wanted_deg=wanted_deg,
        band_deg=BAND * float(np.max(fit.knots.standard_uncertainty_deg)),
        enough=None if wanted_deg is None else is_enough(fit, wanted_deg),
        readings=int(seen.size),
        readings_usually=usually,
    )


def _as_row(target: Target) -> tuple[float, str, int]:
    return target.command, target.direction.value, target.cycle
