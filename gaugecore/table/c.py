"""Tables as a C99 header: no dependencies, no division, no floating point; flash-resident on AVR.

What the header computes is what `integer.py` computes, bit for bit. Names begin with ``nw_`` and the
instrument's id; macros shared by several tables are guarded, so any number of them can be included.
"""

from __future__ import annotations

from textwrap import indent

from gaugecore.table.c_forms import array, form_data, form_function, reading
from gaugecore.table.colophon import colophon, crc32, directions, identifier, self_test
from gaugecore.table.integer import Table
from gaugecore.table.places import Places
from gaugecore.table.readable import readable_lines

_FLASH_MACROS = """\
#ifndef NW_FLASH
#if defined(__AVR__)
#include <avr/pgmspace.h>
#define NW_FLASH PROGMEM
#define NW_BYTE(address) pgm_read_byte(address)
#define NW_WORD(address) pgm_read_word(address)
#define NW_LONG(address) pgm_read_dword(address)
#define NW_LOW_BYTE(address) pgm_read_byte((const uint8_t *)(address))
#else
#define NW_FLASH
#define NW_BYTE(address) (*(address))
#define NW_WORD(address) (*(address))
#define NW_LONG(address) (*(address))
#define NW_LOW_BYTE(address) ((uint8_t)(*(address) & 0xFFu))
#endif
/* The value, unchanged; on AVR it keeps the compiler from multiplying two bytes as two words. */
static inline uint8_t nw_byte(uint8_t value)
{
#if defined(__AVR__)
    __asm__("" : "+r"(value));
#endif
    return value;
}
#endif
#ifndef NW_PAIR
#if defined(__AVR__)
#define NW_PAIR(address) pgm_read_word(address)
#else
#define NW_PAIR(address) ((uint16_t)((address)[0] | (uint16_t)((uint16_t)(address)[1] << 8)))
#endif
/* The same for two bytes: on AVR a product stays where the multiplication left it. */
static inline uint16_t nw_word(uint16_t value)
{
#if defined(__AVR__)
    __asm__("" : "+r"(value));
#endif
    return value;
}
#endif
"""
_FOLLOW = """\
/* Which map is in use: keep one for each needle, all zero at start. */
struct {name}_side {{
    {raw} turned_at; /* the farthest raw value in the present direction */
    uint8_t falling;
    uint8_t started;
}};

/* The command for the next raw value; the map changes once raw turns back by more than the hysteresis. */
static inline {out} {name}_follow(struct {name}_side *side, {raw} raw)
{{
    const {raw} now = {name}_held(raw);
    const {raw} turned_at = side->turned_at;
    const uint8_t onward = (uint8_t)((side->falling != 0u) ? (now <= turned_at) : (now >= turned_at));
    const {unsigned} apart = ({unsigned})((now > turned_at)
        ? (({unsigned})now - ({unsigned})turned_at) : (({unsigned})turned_at - ({unsigned})now));
    if ((side->started == 0u) || (onward != 0u)) {{
        side->started = 1u;
        side->turned_at = now;
    }} else if (apart > {hysteresis}u) {{
        side->falling = (uint8_t)((side->falling != 0u) ? 0u : 1u);
        side->turned_at = now;
    }} else {{
        /* inside the hysteresis nothing changes */
    }}
    return (side->falling != 0u) ? {name}_{falling}(raw) : {name}_{rising}(raw);
}}
"""
_SELF_TEST = """\
/* Returns 1 when the table, as it is in this machine's memory, gives the expected commands, else 0. */
static inline uint8_t {name}_self_test(void)
{{
{arrays}
    uint8_t i;
    for (i = 0u; i < {count}u; i++) {{
        const {raw} raw = ({raw}){read}(&raws[i]);
        if ({mismatch}) {{
            return 0u;
        }}
    }}
    return 1u;
}}
"""


def to_c(table: Table) -> bytes:
    """Return the table as a C99 header named after `identifier`, plain ASCII."""
    name = identifier(table.origin.name)
    out = "int16_t" if table.limits.lowest < 0 else "uint16_t"
    *about, first_caution, second_caution = colophon(table)
    cautions = (first_caution, second_caution)
    parts = [
        "/*\n" + "".join(f" * {line}\n" for line in (*about, *readable_lines(table), *cautions)) + " */\n",
        f"#ifndef {name.upper()}_H\n#define {name.upper()}_H\n\n#include <stdint.h>\n",
        _FLASH_MACROS,
        _constants(table, name.upper()),
        *_maps(table, name, out),
    ]
    if table.down is not None:
        parts.append(_follow(table, name, out))
    parts += [_self_test_text(table, name), f"#endif /* {name.upper()}_H */\n"]
    return "\n".join(parts).encode("ascii")


def raw_type(places: Places) -> str:
    """Return the smallest C type that holds every raw value, and no smaller than two bytes."""
    if places.raw_low >= 0 and places.raw_high <= 0xFFFF:
        return "uint16_t"
    return "int16_t" if places.raw_low >= -0x8000 and places.raw_high <= 0x7FFF else "int32_t"


def _constants(table: Table, upper: str) -> str:
    places = table.places
    kind = raw_type(places)
    values = {
        "RAW_LOW": _literal(places.raw_low, kind),
        "RAW_HIGH": _literal(places.raw_high, kind),
        "LOWEST": _literal(table.limits.lowest, "int32_t"),
        "HIGHEST": _literal(table.limits.highest, "int32_t"),
        "CRC32": f"0x{crc32(table):08X}UL",
    }
    return "".join(f"#define {upper}_{key} ({value})\n" for key, value in values.items())


def _maps(table: Table, name: str, out: str) -> list[str]:
    """Return clamping, data, reading and one function for each direction."""
    parts = [_held(table.places, name), _place(table.places, name)]
    readers: dict[str, str] = {}
    for form, direction in zip(table.branches, directions(table), strict=True):
        branch = "command" if table.down is None else direction.value
        parts.append(form_data(form, f"{name}_{branch}_data"))
        code = form_function(form, "@", out)
        if code not in readers:  # equal maps of both directions share their code
            readers[code] = f"{name}_{branch}"
            parts.append(code.replace("@", readers[code]))
        call = reading(form, readers[code], f"{name}_{branch}_data", f"{name}_place(raw)")
        parts.append(
            f"static inline {out} {name}_{branch}({raw_type(table.places)} raw)\n{{\n    return {call};\n}}\n"
        )
    return parts


def _held(places: Places, name: str) -> str:
    kind = raw_type(places)
    lowest, highest = {"uint16_t": (0, 0xFFFF), "int16_t": (-0x8000, 0x7FFF)}.get(kind, (-(2**31), 2**31 - 1))
    lines = [f"static inline {kind} {name}_held({kind} raw)", "{"]
    # a comparison that can only go one way would draw a warning
    if places.raw_low > lowest:
        lines += [f"    if (raw < {_literal(places.raw_low, kind)}) {{"]
        lines += [f"        return {_literal(places.raw_low, kind)};", "    }"]
    if places.raw_high < highest:
        lines += [f"    if (raw > {_literal(places.raw_high, kind)}) {{"]
        lines += [f"        return {_literal(places.raw_high, kind)};", "    }"]
    return "\n".join([*lines, "    return raw;", "}", ""])


def _place(places: Places, name: str) -> str:
    """Return the function from raw value to place; unsigned throughout, so nothing can overflow."""
    kind = raw_type(places)
    unsigned, suffix, bits = ("uint32_t", "UL", 32) if kind == "int32_t" else ("uint16_t", "u", 16)
    held = f"({unsigned}){name}_held(raw)"
    low, high = (f"{end % (1 << bits)}{suffix}" for end in (places.raw_low, places.raw_high))
    offset = f"({unsigned})({high} - {held})" if places.falling else f"({unsigned})({held} - {low})"
    if not places.falling and places.raw_low == 0:
        offset = held
    shifted = offset
    if places.right_shift:
        shifted = f"{offset} >> {places.right_shift}"
    elif places.left_shift:
        shifted = f"{offset} << {places.left_shift}"
    return f"static inline uint16_t {name}_place({kind} raw)\n{{\n    return (uint16_t)({shifted});\n}}\n"


def _follow(table: Table, name: str, out: str) -> str:
    kind = raw_type(table.places)
    rising, falling = ("up", "down") if table.up_with_raw else ("down", "up")
    return _FOLLOW.format(
        name=name,
        out=out,
        raw=kind,
        unsigned="uint32_t" if kind == "int32_t" else "uint16_t",
        hysteresis=table.hysteresis,
        rising=rising,
        falling=falling,
    )


def _self_test_text(table: Table, name: str) -> str:
    kind = raw_type(table.places)
    bits, read = (32, "NW_LONG") if kind == "int32_t" else (16, "NW_WORD")
    branches = ["command"] if table.down is None else ["up", "down"]
    columns = list(zip(*self_test(table), strict=True))
    arrays = array(f"uint{bits}_t", "raws", [raw % (1 << bits) for raw in columns[0]])
    for branch, column in zip(branches, columns[1:], strict=True):
        arrays += array("uint16_t", branch, [command % 0x10000 for command in column])
    return _SELF_TEST.format(
        name=name,
        raw=kind,
        read=read,
        count=len(columns[0]),
        arrays=indent(arrays, "    ").rstrip(),
        mismatch=" || ".join(
            f"((uint16_t){name}_{branch}(raw) != NW_WORD(&{branch}[i]))" for branch in branches
        ),
    )


def _literal(value: int, kind: str) -> str:
    """Return an integer constant of a type; the lowest one cannot be written as such in C."""
    if kind == "uint16_t":
        return f"{value}u"
    suffix = "L" if kind == "int32_t" else ""
    lowest = -(2**31) if kind == "int32_t" else -(2**15)
    return f"({value + 1}{suffix} - 1{suffix})" if value == lowest else f"{value}{suffix}"
