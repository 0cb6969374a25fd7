"""Every file the program reads has its limits: past them it is refused in a sentence, in little memory.

How long it takes is for the bench (`tests/bench/bench_reliability.py`): a test on a busy machine cannot tell.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gaugecore.feed.message import Malformed, parse_message
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
