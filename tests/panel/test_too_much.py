"""Every file the program reads has its limits: past them it is refused in a sentence, in little memory.

How long it takes is for the bench (`tests/bench/bench_reliability.py`): a test on a busy machine cannot tell.
"""

from __future__ import annotations

import json
import tracemalloc
from pathlib import Path

import pytest

from gaugecore.errors import DesignError
from gaugecore.face.layout import lay_out_face
from gaugecore.feed.message import Malformed, parse_message
from tests.face.designs import FUEL
from tests.panel.refusal import refusal
from tests.panel.too_much import FILES, write

MOST_MB = 200.0


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "name"), FILES)
def test_too_much_is_refused_in_a_sentence_and_little_memory(kind: str, name: str, tmp_path: Path) -> None:
    path = tmp_path / "given"
    write(FILES[kind, name](), path)
    refused = refusal(kind, path)
    assert refused.said != "ACCEPTED"
    assert "\n" not in refused.said
    assert len(refused.said) < 20_000
    assert refused.memory_mb < MOST_MB


@pytest.mark.parametrize(
    "content",
    [
        b"[" * 8000,
        b'{"a":' * 1600,
        b"a=1" + b" " * 10**6,
        b"a=1e309",
        b'{"a": 1e309}',
        b'{"a": ' + b"9" * 5000 + b"}",
        json.dumps({str(n): n for n in range(501)}).encode(),
    ],
)
def test_a_datagram_of_too_much_is_malformed(content: bytes) -> None:
    with pytest.raises(Malformed):
        parse_message(content)


@pytest.mark.parametrize("graduations", [1e6, 1e300])
def test_a_face_of_a_million_graduations_is_refused_before_any_is_drawn(graduations: float) -> None:
    ring = FUEL.graduations.model_copy(
        update={"minor_step": 1.0 / graduations, "intermediate_step": None, "automatic": False}
    )
    tracemalloc.start()
    try:
        with pytest.raises(DesignError, match="graduations"):
            lay_out_face(FUEL.model_copy(update={"graduations": ring}), name="face", title="Fuel")
        assert tracemalloc.get_traced_memory()[1] < 20e6
    finally:
        tracemalloc.stop()
