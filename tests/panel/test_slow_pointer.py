"""The second pointer of a multi-turn dial: a plate of its own, and its findings."""

from __future__ import annotations

import pytest

from gaugecore.face.presets import preset
from gaugecore.movement.pointer import Pointer
from gaugecore.panel.checks import check_instrument
from gaugecore.panel.document import Instrument, RawInput
from gaugecore.panel.plates import plates_of

FIRST = Pointer(length_mm=30.0, gap_mm=1.6)
SLOW = Pointer(length_mm=20.0, thickness_mm=1.0, gap_mm=0.3)


def tank(slow: Pointer | None, *, face: str = "multi-turn") -> Instrument:
    return Instrument(
        id="tank",
        title="Cargo tank",
        raw=RawInput(low_value=0.0, high_value=100.0),
        face=preset(face),
        pointer=FIRST,
        slow_pointer=slow,
    )


def rules(instrument: Instrument) -> set[tuple[str, str]]:
    ours = {"pointers-alike", "pointers-touch", "slow-pointer-missing", "slow-pointer-idle"}
    return {
        (f.rule, f.place)
        for f in check_instrument(instrument)
        if f.rule in ours or f.place.startswith("instruments.tank.slow_pointer")
    }


def test_the_slow_pointer_is_a_plate_of_its_own_behind_the_first() -> None:
    names = [drawing.name for drawing in plates_of(tank(SLOW))]
    assert names[:3] == ["tank-pointer", "tank-slow-pointer", "tank-face"]
    slow = plates_of(tank(SLOW))[1]
    assert max(y for e in slow.elements if e.part == "pointer.outline" for x, y, _ in e.loops[0]) == 20.0  # type: ignore[union-attr]


def test_a_good_pair_has_nothing_said_about_it() -> None:
    assert rules(tank(SLOW)) == set()


@pytest.mark.parametrize(
    ("instrument", "rule", "place"),
    [
        (tank(None), "slow-pointer-missing", "face.scale.slow_pointer_ratio"),
        (tank(SLOW, face="round"), "slow-pointer-idle", "slow_pointer"),
        (tank(SLOW.model_copy(update={"length_mm": 25.0})), "pointers-alike", "slow_pointer.length_mm"),
        (tank(SLOW.model_copy(update={"gap_mm": 0.6})), "pointers-touch", "slow_pointer.thickness_mm"),
        (tank(SLOW.model_copy(update={"bore_mm": 9.0})), "pointer-cannot-be-drawn", "slow_pointer.bore_mm"),
    ],
)
def test_each_rule_names_its_place(instrument: Instrument, rule: str, place: str) -> None:
    assert rules(instrument) == {(rule, f"instruments.tank.{place}")}
