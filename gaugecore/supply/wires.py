"""Wire: resistance, and the voltage at the far end."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from gaugecore.values import Caption, Current, Part

RHO_OHM_MM2_PER_M = 0.017241
"""Annealed copper at 20 °C; reproduces the published table of ohms per 1000 ft to 0.03 mΩ/m."""
PER_KELVIN = 0.00393
"""Rise of copper's resistance with temperature, from memory."""


class Wire(Part):
    """A pair of copper wires from the source to something; the current goes there and comes back."""

    name: Caption
    length_m: Annotated[float, Field(gt=0, le=100)]
    """One way."""
    awg: Annotated[int, Field(ge=0, le=40)] | None = 24
    """Gauge; none: ``area_mm2`` says the size."""
    area_mm2: Annotated[float, Field(gt=0, le=100)] | None = None
    current_ma: Current | None = None
    """What it carries; none: everything the source gives in the worst state."""
    least_v: Annotated[float, Field(gt=0, le=60)] = 4.5
    """The lowest voltage that what hangs on it still works at."""

    @model_validator(mode="after")
    def _has_one_size(self) -> Self:
        if (self.awg is None) == (self.area_mm2 is None):
            raise ValueError("a wire has a size in one way: awg, or area_mm2 with awg null")
        return self

    @property
    def copper_mm2(self) -> float:
        """Return the cross section."""
        return self.area_mm2 if self.area_mm2 is not None else awg_area_mm2(self.awg or 0)

    @property
    def loop_ohm(self) -> float:
        """Return the resistance there and back, at 20 °C."""
        return 2.0 * self.length_m * RHO_OHM_MM2_PER_M / self.copper_mm2

    def drop_v(self, current_ma: float) -> float:
        """Return the voltage lost there and back.

        Examples
        --------
        >>> round(Wire(name="to the panel", length_m=1.0, awg=28).drop_v(500.0), 3)
        0.213
        """
        return self.loop_ohm * current_ma / 1000.0


def awg_diameter_mm(awg: int) -> float:
    """Return the diameter of solid wire of a gauge: 0.127 · 92^((36-n)/39) mm (ASTM B258, from memory).

    Examples
    --------
    >>> round(awg_diameter_mm(24), 3)
    0.511
    """
    return float(0.127 * 92.0 ** ((36 - awg) / 39.0))


def awg_area_mm2(awg: int) -> float:
    """Return the cross section of solid wire of a gauge."""
    return float(3.141592653589793 / 4.0 * awg_diameter_mm(awg) ** 2)


def milliohm_per_m(awg: int, celsius: float = 20.0) -> float:
    """Return the resistance of one solid wire.

    Examples
    --------
    >>> round(milliohm_per_m(22), 2)
    52.96
    """
    return RHO_OHM_MM2_PER_M / awg_area_mm2(awg) * 1000.0 * (1.0 + PER_KELVIN * (celsius - 20.0))


def thinnest_awg(length_m: float, current_ma: float, most_drop_v: float) -> int | None:
    """Return the thinnest even gauge that keeps the drop of a pair, None if even 10 AWG does not.

    Examples
    --------
    >>> thinnest_awg(1.0, 500.0, 0.1)
    24
    """
    for awg in range(30, 8, -2):
        if Wire(name="", length_m=length_m, awg=awg).drop_v(current_ma) <= most_drop_v:
            return awg
    return None
