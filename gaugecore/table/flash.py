"""How much program memory a table takes on an 8-bit AVR, its code and what it pulls in included.

The figures are upper bounds, measured with avr-gcc -Os for the ATmega328P and the ATmega2560; the tests
compile tables of every kind and compare.
"""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.table.integer import Form
from gaugecore.table.knots import FreeKnots
from gaugecore.table.places import Places
from gaugecore.table.uniform import FINER

_WORDS_CODE = 66
_FINER_CODE = 12
_BYTES_CODE = 76
_PIECES_CODE = 114
_WRITTEN_OUT_CODE = 38
_PIECE_CODE = 22
_COARSE_SLOPE_CODE = 20
_CLAMP_CODE = 12
_WIDE_CLAMP_CODE = 24
_WIDE_CODE = 38
_SHIFT_CODE = 24
_FALLING_CODE = 6
_OFFSET_CODE = 4
_SECOND_MAP_CODE = 40
_INDEX_ENTRIES = 16
_FULL_SLOPE_BITS = 16


def data_bytes(form: Form) -> int:
    """Return the bytes of the arrays of one map."""
    if isinstance(form, FreeKnots) and form.written_out:
        return 0
    if isinstance(form, FreeKnots):
        return 6 * form.size + _INDEX_ENTRIES * (1 if 3 * form.size <= 0x100 else 2)
    return form.size * (2 if form.line_step is None else 1)


def flash_bytes(forms: Sequence[Form], places: Places) -> int:
    """Return about how many bytes of flash a table takes, never too few.

    Parameters
    ----------
    forms : sequence of Uniform or FreeKnots
        One map, or up and down.
    places : Places
        The way from raw values to places.
    """
    total = sum(data_bytes(form) for form in forms) + _places_code(places)
    total += _code(forms[0])
    for form in forms[1:]:
        total += _SECOND_MAP_CODE + _code_not_shared(form, forms[0])
    return total


def most_uniform_knots(total: int) -> int:
    """Return how many knots a uniform table can have, at a byte each, to take no more than a total."""
    return max(0, total - _WORDS_CODE)


def _code_not_shared(form: Form, first: Form) -> int:
    """Return the bytes of a second map's code that the first one's does not serve."""
    if not isinstance(form, FreeKnots) or not isinstance(first, FreeKnots):
        return 0
    if form.written_out and first.written_out:
        return _PIECE_CODE * form.size
    alike = (form.written_out, form.slope_bits) == (first.written_out, first.slope_bits)
    return 0 if alike else _code(form)


def _code(form: Form) -> int:
    code = _OFFSET_CODE if form.offset else 0
    if isinstance(form, FreeKnots):
        pieces = _WRITTEN_OUT_CODE + _PIECE_CODE * form.size if form.written_out else _PIECES_CODE
        return code + pieces + (_COARSE_SLOPE_CODE if form.slope_bits < _FULL_SLOPE_BITS else 0)
    if form.fraction_bits == FINER:
        code += _FINER_CODE
    return code + (_WORDS_CODE if form.line_step is None else _BYTES_CODE) + 4 * form.fine_bits


def _places_code(places: Places) -> int:
    low, high = places.raw_low, places.raw_high
    code = _FALLING_CODE if places.falling else 0
    if 0 <= low and high <= 0xFFFF:
        ends, clamp = (0, 0xFFFF), _CLAMP_CODE
    elif -0x8000 <= low and high <= 0x7FFF:
        ends, clamp = (-0x8000, 0x7FFF), _CLAMP_CODE
    else:
        ends, clamp = (-(2**31), 2**31 - 1), _WIDE_CLAMP_CODE
        code += _WIDE_CODE
    code += clamp * ((low != ends[0]) + (high != ends[1]))
    return code + min(_SHIFT_CODE, 4 * (places.left_shift + places.right_shift))
