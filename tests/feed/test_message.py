"""One message of a feed."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gaugecore.feed.message import LONGEST_BYTES, MOST_NAMES, Malformed, parse_message

names = st.text("abcdefghijklmnopqrstuvwxyz_-0123456789", min_size=1, max_size=20)
numbers = st.floats(allow_nan=False, allow_infinity=False)


@given(st.dictionaries(names, numbers, max_size=20))
def test_json_comes_back(values):
    assert parse_message(json.dumps(values).encode()) == values


@given(
    st.dictionaries(names, numbers, min_size=1, max_size=20), st.sampled_from([" ", "\n", ";", ", ", "\r\n"])
)
def test_text_comes_back_whatever_stands_between(values, between):
    text = between.join(f"{name}={value!r}" for name, value in values.items())
    assert parse_message(text.encode()) == values


@given(st.binary(max_size=300))
def test_any_bytes_are_values_or_malformed(content):
    try:
        values = parse_message(content)
    except Malformed:
        return
    assert all(math.isfinite(value) for value in values.values())


leaves = st.none() | st.booleans() | st.floats() | st.text(max_size=5)
any_json = st.recursive(
    leaves,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
)


@given(any_json)
def test_any_json_is_values_or_malformed(value):
    try:
        found = parse_message(json.dumps(value).encode())
    except Malformed:
        return
    assert set(found) <= set(value)


def test_of_an_object_only_numbers_count():
    content = b'{"a": 1, "b": "two", "c": [3], "d": {"e": 4}, "f": true, "g": null, "h": -2.5e3}'
    assert parse_message(content) == {"a": 1.0, "h": -2500.0}


@pytest.mark.parametrize(
    "content",
    [
        b"", b"  ", b"rudder", b"=1", b"rudder=", b"rudder=x", b"rudder=nan", b"rudder=inf", b"a=1 b", b"[1]",
        b'{"a": NaN}', b'{"a": Infinity}', b'{"a": 1e999}', b'{"a": 1', b'{"a": %s}' % (b"9" * 5000),
        b'{"a":' * 1500, b"\xff\xfe", b'{"a": 1} trailing', b"a=" + b"1" * (LONGEST_BYTES),
        " ".join(f"n{i}=1" for i in range(MOST_NAMES + 1)).encode(), b"n" * 201 + b"=1",
    ],
)  # fmt: skip
def test_what_is_none_of_them_is_malformed(content):
    with pytest.raises(Malformed):
        parse_message(content)
