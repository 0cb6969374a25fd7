"""The two forms of a table in C99: their data, and the function that reads it."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from gaugecore.table.integer import Form
from gaugecore.table.knots import INDEX_BITS, FreeKnots
from gaugecore.table.uniform import FINER, Uniform

_PLACE_BITS = 16
_PIECES = """\
/* Records of three words: where a piece ends, the output there, its slope in {slope_bits} binary places. */
static inline {out} {symbol}_read(const uint16_t *data, const {index} *first, uint16_t place)
{{
    const uint8_t top = nw_byte((uint8_t)(place >> 8));
    const uint16_t *piece = &data[{read}(&first[top >> {index_shift}])];
    uint16_t end = NW_WORD(piece);
    while (end < place) {{
        piece += 3;
        end = NW_WORD(piece);
    }}
    const uint16_t left = (uint16_t)(end - place);
    const uint16_t back = (uint16_t)(((uint32_t)left * NW_WORD(piece + 2)) >> {slope_bits});
    const uint16_t fine = (uint16_t)(NW_WORD(piece + 1) - back);
    return {result};
}}
"""
_WRITTEN_OUT = """\
/* So few pieces are code: where one ends, the output there, its slope in {slope_bits} binary places. */
static inline {out} {symbol}_read(uint16_t place)
{{
    uint16_t end;
    uint16_t at_end;
    uint16_t slope;
{choices}
    const uint16_t back = (uint16_t)(((uint32_t)(uint16_t)(end - place) * slope) >> {slope_bits});
    const uint16_t fine = (uint16_t)(at_end - back);
    return {result};
}}
"""
_UNIFORM = """\
/* Place times {n}: the interval in the high byte, the fraction in the low one. */
static inline {out} {symbol}_read(const {word} *knots, {start_argument}uint16_t place)
{{
    const uint8_t low = (uint8_t)(place & 0xFFu);
    const uint8_t high = nw_byte((uint8_t)(place >> 8));
    const uint16_t part = (uint16_t)((uint16_t)low * nw_byte({n}u));
    const uint8_t carry = nw_byte((uint8_t)(part >> 8));
    const uint16_t scaled = (uint16_t)(nw_word((uint16_t)((uint16_t)high * nw_byte({n}u))) + carry);
    const uint8_t fraction = (uint8_t)(scaled & 0xFFu);
{body}
    return {result};
}}
"""
_WORDS = """\
    const uint16_t *const knot = &knots[scaled >> 8];
    const uint16_t below = NW_WORD(knot);
    const uint8_t step = (uint8_t)(NW_LOW_BYTE(knot + 1) - (uint8_t)(below & 0xFFu));
    const uint16_t rise = {rise};
    const uint16_t fine = (uint16_t)(below + (uint16_t)(rise >> 8));"""
_BYTES = """\
    const uint8_t interval = nw_byte((uint8_t)(scaled >> 8));
    const uint16_t pair = NW_PAIR(&knots[interval]);
    const uint8_t below = (uint8_t)(pair & 0xFFu);
    const uint8_t step = (uint8_t)(((unsigned)(uint8_t)(pair >> 8) - below + {step}u) & 0xFFu);
    const uint16_t rise = {rise};
    const uint16_t line = (uint16_t)((uint16_t)((uint16_t)interval * nw_byte({step}u)) + start);
    const uint16_t fine = (uint16_t)((uint16_t)(line + nw_byte((uint8_t)(rise >> 8))) + below);"""

_RISE = "(uint16_t)((uint16_t)step * (uint16_t)fraction)"
#: The same with the fraction's second byte, whose share of the step is less than one.
_FINER_RISE = (
    "(uint16_t)((uint16_t)((uint16_t)step * (uint16_t)fraction)\n"
    "        + nw_byte((uint8_t)((uint16_t)((uint16_t)step * nw_byte((uint8_t)(part & 0xFFu))) >> 8)))"
)


def form_data(form: Form, symbol: str) -> str:
    """Return the data of one map as C arrays named after ``symbol``."""
    if isinstance(form, Uniform):
        if form.line_step is not None:
            return array("uint8_t", symbol, form.distances)
        return array("uint16_t", symbol, form.knots)
    if form.written_out:
        return ""
    records = zip(form.ends, form.at_ends, form.slopes, strict=True)
    first = [3 * piece for piece in form.index]
    words = [word for record in records for word in record]
    return array("uint16_t", symbol, words) + array(_index_type(form), f"{symbol}_first", first)


def form_function(form: Form, symbol: str, out_type: str) -> str:
    """Return the function ``symbol_read`` that reads a map; `reading` calls it."""
    result = _result(out_type, form.offset, form.fine_bits if isinstance(form, Uniform) else 0)
    if isinstance(form, FreeKnots) and form.written_out:
        return _WRITTEN_OUT.format(
            out=out_type,
            symbol=symbol,
            result=result,
            slope_bits=form.slope_bits,
            choices=_choices(form),
        )
    if isinstance(form, FreeKnots):
        return _PIECES.format(
            out=out_type,
            symbol=symbol,
            result=result,
            slope_bits=form.slope_bits,
            index=_index_type(form),
            read="NW_BYTE" if _index_type(form) == "uint8_t" else "NW_WORD",
            index_shift=_PLACE_BITS // 2 - INDEX_BITS,
        )
    by_byte = form.line_step is not None
    return _UNIFORM.format(
        n=form.n,
        symbol=symbol,
        out=out_type,
        result=result,
        word="uint8_t" if by_byte else "uint16_t",
        start_argument="uint16_t start, " if by_byte else "",
        body=(_BYTES if by_byte else _WORDS).format(
            step=form.line_step, rise=_FINER_RISE if form.fraction_bits == FINER else _RISE
        ),
    )


def reading(form: Form, reader: str, data: str, place: str) -> str:
    """Return the call that reads a map."""
    if isinstance(form, FreeKnots) and form.written_out:
        return f"{reader}_read({place})"
    if isinstance(form, FreeKnots):
        return f"{reader}_read({data}, {data}_first, {place})"
    start = "" if form.line_step is None else f"{form.line_start % 0x10000}u, "
    return f"{reader}_read({data}, {start}{place})"


def array(c_type: str, symbol: str, values: Sequence[int]) -> str:
    """Return a flash-resident array."""
    body = wrap(", ".join(f"{value}u" for value in values), 100)
    return (
        f"static const {c_type} {symbol}[{len(values)}] NW_FLASH = {{\n    " + "\n    ".join(body) + "\n};\n"
    )


def _choices(form: FreeKnots) -> str:
    """Return the lines that choose a piece."""
    lines: list[str] = []
    for i, (end, at_end, slope) in enumerate(zip(form.ends, form.at_ends, form.slopes, strict=True)):
        chosen = f"end = {end}u;", f"at_end = {at_end}u;", f"slope = {slope}u;"
        last = i == form.size - 1
        opening = "{" if last else f"if (place <= {end}u) {{"
        lines += [f"    {'} else ' if i else ''}{opening}", *(f"        {line}" for line in chosen)]
    return "\n".join([*lines, "    }"])


def _index_type(form: FreeKnots) -> str:
    return "uint8_t" if 3 * form.size <= 0x100 else "uint16_t"


def _result(out_type: str, offset: int, fine_bits: int) -> str:
    value = f"(uint16_t)(fine >> {fine_bits})" if fine_bits else "fine"
    if out_type == "int16_t":
        return f"(int16_t)((int32_t){value} + ({offset}L))"
    return f"(uint16_t)({value} + {offset}u)" if offset else value
