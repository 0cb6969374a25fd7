"""The library of movements: generic ones are marked as typical, one's own survive a round trip."""

from __future__ import annotations

from pathlib import Path

import pytest

from gaugecore.errors import DocumentError
from gaugecore.movement.library import GENERIC, Library, load_library, save_library
from gaugecore.movement.servo import Servo


def test_every_generic_figure_is_marked_as_a_guess() -> None:
    for movement in GENERIC.values():
        assert not movement.measured
        assert movement.source.startswith("typical, measure yours")


def test_torques_of_the_small_servos_are_the_makers_figures() -> None:
    # makers' articles: 1.6 kgf·cm at 5 V; 1.8 kgf·cm = 0.17652 N·m (arithmetic, 0.0980665 N·m per kgf·cm)
    assert GENERIC["servo-9g-analogue"].torque_mnm == pytest.approx(1.6 * 98.0665, abs=0.2)
    assert GENERIC["servo-9g-digital"].torque_mnm == pytest.approx(176.52, abs=0.6)


def test_the_personal_library_survives_a_round_trip(tmp_path: Path) -> None:
    path = tmp_path / "movements.json"
    assert load_library(path) == Library()
    mine = Servo(name="from the drawer", travel_deg=172.0, measured=True)
    library = Library().with_movement(mine).with_movement(GENERIC["gauge-stepper-315"])
    save_library(library, path)
    assert load_library(path) == library
    replaced = library.with_movement(mine.model_copy(update={"travel_deg": 171.0}))
    assert [m.travel_deg for m in replaced.movements] == [315.0, 171.0]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"{", "not JSON"),
        (b'{"movements": [{"kind": "servo", "travel_deg": 0}]}', "movements.0.servo.travel_deg"),
        (b'{"version": 9}', "version"),
        (b"\xff\xfe", "not JSON"),
    ],
)
def test_a_library_that_cannot_be_read_is_refused_in_one_line(
    tmp_path: Path, content: bytes, says: str
) -> None:
    path = tmp_path / "movements.json"
    path.write_bytes(content)
    with pytest.raises(DocumentError) as refused:
        load_library(path)
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)
