"""The two forms of a table in C99: their data, and the function that reads it."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from gaugecore.table.integer import Form
from gaugecore.table.uniform import Uniform

_UNIFORM = """\
/* Place times {n}: interval in the high byte, fraction in the low one; the step between knots fits a byte. */
static inline {out} {symbol}_read(const uint16_t *knots, uint16_t place)
{{
    const uint8_t low = (uint8_t)(place & 0xFFu);
    const uint8_t high = (uint8_t)(place >> 8);
    const uint16_t part = (uint16_t)((uint16_t)((uint16_t)low * {n}u) >> 8);
    const uint16_t scaled = (uint16_t)((uint16_t)((uint16_t)high * {n}u) + part);
    const uint8_t fraction = (uint8_t)(scaled & 0xFFu);
    const uint16_t *const knot = &knots[(uint8_t)(scaled >> 8)];
    const uint16_t below = NW_WORD(knot);
    const uint8_t step = (uint8_t)((uint8_t)(NW_LOW_BYTE(knot + 1) - (uint8_t)(below & 0xFFu)) & 0xFFu);
    const uint8_t rise = (uint8_t)((uint16_t)((uint16_t)step * fraction) >> 8);
    const uint16_t fine = (uint16_t)(below + rise);
    return {result};
}}
"""


def form_data(form: Form, symbol: str) -> str:
    """Return the data of one map as C arrays named ``symbol``."""
    assert isinstance(form, Uniform)
    return array("uint16_t", symbol, form.knots)


def form_function(form: Form, symbol: str, out_type: str) -> str:
    """Return the function ``symbol_read(data, place)`` that reads a map."""
    assert isinstance(form, Uniform)
    return _UNIFORM.format(
        n=form.n, symbol=symbol, out=out_type, result=_result(out_type, form.fine_bits, form.offset)
    )


def array(c_type: str, symbol: str, values: Sequence[int]) -> str:
    """Return a flash-resident array."""
    body = wrap(", ".join(f"{value}u" for value in values), 100)
    return (
        f"static const {c_type} {symbol}[{len(values)}] NW_FLASH = {{\n    " + "\n    ".join(body) + "\n};\n"
    )


def _result(out_type: str, fine_bits: int, offset: int) -> str:
    value = f"(uint16_t)(fine >> {fine_bits})" if fine_bits else "fine"
    if offset == 0:
        return value
    if offset > 0:
        return f"(uint16_t)({value} + {offset}u)"
    return f"(int16_t)((int32_t){value} - {-offset}L)"
