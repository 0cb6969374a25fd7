"""docs/line-protocol.md and the virtual board say the same."""

import re
from pathlib import Path

import pytest

from gaugecore.board import messages
from gaugecore.board.link import REASONS
from gaugecore.board.messages import frame, unframe
from gaugecore.board.misbehaviour import Imp, Misbehaviour
from gaugecore.board.virtual import VERBS
from gaugecore.board.virtual_options import VirtualOptions

DOCUMENT = (Path(__file__).parents[2] / "docs" / "line-protocol.md").read_text("utf-8")
CONVERSATION = re.findall(r"^([<>]) (\S.*\*[0-9A-F]{4})$", DOCUMENT, flags=re.MULTILINE)


def test_the_conversation_in_the_document_is_what_the_board_says():
    board = VirtualOptions(seed=1).board(Imp(Misbehaviour(), 1))
    assert len(CONVERSATION) >= 10
    for (way, asked), (back, said) in zip(CONVERSATION[::2], CONVERSATION[1::2], strict=True):
        assert (way, back) == (">", "<")
        body = unframe(asked.encode())
        assert body is not None, asked
        answer = board.answer(body, 0.01)
        assert answer is not None
        assert frame(answer).decode().strip() == said


def test_the_document_s_figures_are_the_program_s():
    assert f"1 to **{messages.LONGEST_BODY}** characters" in DOCUMENT
    assert f"**{messages.LONGEST_LINE} bytes**, line feed included" in DOCUMENT
    assert f"with more commands (up to {messages.MOST_VALUES})" in DOCUMENT
    assert f"1 to {messages.MOST_BLOCK_BYTES} bytes at `OFFSET`" in DOCUMENT
    assert f"# The line protocol, version {messages.PROTOCOL_VERSION}" in DOCUMENT


def test_the_longest_request_of_each_kind_fits_a_line():
    frame("65535 move 65535" + " 65535" * messages.MOST_VALUES)
    frame("65535 block 65535 65535 " + "FF" * messages.MOST_BLOCK_BYTES)
    frame("65535 ok 65535 virtual 65535 " + "x" * 24)


@pytest.mark.parametrize("verb", ["hello", *VERBS])
def test_every_verb_is_in_the_document(verb):
    assert re.search(rf"^\| `{verb}\b", DOCUMENT, flags=re.MULTILINE)


def test_the_document_has_no_verb_the_board_lacks():
    verbs = DOCUMENT.split("## 4.")[1].split("## 5.")[0]
    assert set(re.findall(r"^\| `([a-z]+)", verbs, flags=re.MULTILINE)) == {"hello", *VERBS}


def test_the_link_has_a_sentence_for_every_reason_in_the_document():
    reasons = DOCUMENT.split("Reasons after")[1].split("## 3.")[0]
    named = re.findall(r"^\| `([a-z]+)", reasons, flags=re.MULTILINE)
    assert set(REASONS) | {"hello"} == set(named)
