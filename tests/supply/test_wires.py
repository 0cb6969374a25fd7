"""Wire resistance against published tables."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from gaugecore.supply.wires import Wire, awg_diameter_mm, milliohm_per_m, thinnest_awg

# Solid copper at 20 °C: gauge, ohms per 1000 ft, diameter in inches (a university physics reference page).
TABLE = [
    (22, 16.14, 0.02535),
    (24, 25.67, 0.0201),
    (26, 40.81, 0.01594),
    (28, 64.90, 0.01264),
    (30, 103.2, 0.01002),
]
# The same by 0.127·92^((36-n)/39) and ρ = 0.017241 Ω·mm²/m (ASTM B258, from memory)
FORMULA = {22: 52.96, 24: 84.21, 26: 133.90, 28: 212.92, 30: 338.55}


@pytest.mark.parametrize(("awg", "ohm_per_1000_ft", "inches"), TABLE)
def test_gauges_are_those_of_the_table(awg: int, ohm_per_1000_ft: float, inches: float) -> None:
    published = ohm_per_1000_ft / 304.8 * 1000.0
    assert milliohm_per_m(awg) == pytest.approx(published, rel=6e-4)
    assert milliohm_per_m(awg) == pytest.approx(FORMULA[awg], abs=0.03)
    assert awg_diameter_mm(awg) == pytest.approx(inches * 25.4, abs=0.004)


def test_half_an_ampere_over_a_metre_of_28_awg_and_back_loses_213_mv() -> None:
    assert Wire(name="pair", length_m=1.0, awg=28).drop_v(500.0) == pytest.approx(0.213, abs=5e-4)


def test_a_wire_by_area_agrees_with_iec_60228_class_5() -> None:
    # 0.5 mm² at most 39.0 Ω/km (from memory); solid copper of that area is a little below
    ohm_per_km = Wire(name="flex", length_m=1.0, awg=None, area_mm2=0.5).loop_ohm / 2.0 * 1000.0
    assert 0.85 * 39.0 < ohm_per_km < 39.0


def test_copper_gains_resistance_with_heat() -> None:
    assert milliohm_per_m(24, 45.0) / milliohm_per_m(24) == pytest.approx(1.0 + 25.0 * 0.00393)


def test_the_thinnest_gauge_keeps_the_drop_and_the_next_one_does_not() -> None:
    awg = thinnest_awg(2.0, 1000.0, 0.3)
    assert awg is not None
    assert Wire(name="", length_m=2.0, awg=awg).drop_v(1000.0) <= 0.3
    assert Wire(name="", length_m=2.0, awg=awg + 2).drop_v(1000.0) > 0.3
    assert thinnest_awg(100.0, 10_000.0, 0.1) is None


def test_a_wire_has_one_size() -> None:
    for sizes in ({"awg": None}, {"awg": 24, "area_mm2": 0.5}):
        with pytest.raises(ValidationError, match="a wire has a size in one way"):
            Wire(name="w", length_m=1.0, **sizes)  # type: ignore[arg-type]
