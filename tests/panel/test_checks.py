"""What the check of an instrument takes from its other parts to judge its face by."""

from __future__ import annotations

from gaugecore.face.light import Glow, LightLayer
from gaugecore.panel.checks import check_instrument
from gaugecore.panel.document import Instrument
from gaugecore.panel.starter import starter_panel

NIGHT_RULE = "graduation-width-by-night"


def rules(dial: Instrument) -> set[str]:
    return {finding.rule for finding in check_instrument(dial)}


def lit(dial: Instrument, light: LightLayer | None) -> Instrument:
    return dial.model_copy(update={"making": dial.making.model_copy(update={"light": light})})


def test_only_graduations_that_glow_are_read_by_night() -> None:
    (dial,) = starter_panel("Desk").instruments
    assert NIGHT_RULE in rules(lit(dial, LightLayer()))
    assert NIGHT_RULE not in rules(lit(dial, LightLayer(glow=(Glow.NUMERALS,))))
    assert NIGHT_RULE not in rules(lit(dial, None))
