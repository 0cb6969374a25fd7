"""Every preset is a finished face: drawable, and with nothing worse than a note to be said about it."""

from __future__ import annotations

import pytest

from gaugecore.errors import DesignError
from gaugecore.face.layout import lay_out_face
from gaugecore.face.presets import preset, preset_names
from gaugecore.face.readability import check_face
from gaugecore.findings import Severity


@pytest.mark.parametrize("name", preset_names())
def test_a_preset_is_finished(name: str) -> None:
    face = preset(name)
    assert lay_out_face(face, name=name, title=name).elements
    assert [f for f in check_face(face) if f.severity is not Severity.NOTE] == []


def test_an_unknown_preset_is_refused_with_the_names_there_are() -> None:
    with pytest.raises(DesignError, match="no such preset, found 'square'; accepted: round, centre-zero"):
        preset("square")
