"""Tables as a MicroPython module: integers and bytes only, no imports."""

from __future__ import annotations

from collections.abc import Sequence

from gaugecore.table.colophon import colophon, crc32, self_test
from gaugecore.table.integer import Form, Table
from gaugecore.table.uniform import Uniform

_HEAD = """\
{comment}
RAW_LOW = {raw_low}
RAW_HIGH = {raw_high}
LOWEST = {lowest}
HIGHEST = {highest}
CRC32 = 0x{crc:08X}
SELF_TEST = (
{tests}
)


def _place(raw):
    if raw < RAW_LOW:
        raw = RAW_LOW
    elif raw > RAW_HIGH:
        raw = RAW_HIGH
    return {place}
"""
_UNIFORM = """\
_{branch} = (
{data}
)


def {branch}(raw):
    scaled = (_place(raw) * {n}) >> {dropped_bits}
    at = (scaled >> {fraction_bits}) << 1
    low = _{branch}[at] | (_{branch}[at + 1] << 8)
    high = _{branch}[at + 2] | (_{branch}[at + 3] << 8)
    rise = ((high - low) * (scaled & {fraction_mask})) >> {fraction_bits}
    return ((low + rise) >> {fine_bits}) + {offset}
"""
_PIECES = """\
_{branch} = (
{data}
)


def {branch}(raw):
    place = _place(raw)
    low = 0
    high = {last}
    while low < high:
        middle = (low + high) >> 1
        at = 6 * middle
        if _{branch}[at] | (_{branch}[at + 1] << 8) < place:
            low = middle + 1
        else:
            high = middle
    at = 6 * low
    back = (_{branch}[at] | (_{branch}[at + 1] << 8)) - place
    slope = _{branch}[at + 4] | (_{branch}[at + 5] << 8)
    return (_{branch}[at + 2] | (_{branch}[at + 3] << 8)) - ((back * slope) >> {slope_bits}) + {offset}
"""
_SELF_TEST = """\
def self_test():
    for row in SELF_TEST:
        if {mismatch}:
            return False
    return True
"""
_FOLLOW = """\
class Follow:
    # Changes the map once the raw value turns back by more than the hysteresis; keep one for each needle.
    def __init__(self, hysteresis={hysteresis}):
        self.hysteresis = hysteresis
        self.falling = False
        self.turned_at = None

    def command(self, raw):
        now = min(max(raw, RAW_LOW), RAW_HIGH)
        at = self.turned_at
        if at is None or ((now <= at) if self.falling else (now >= at)):
            self.turned_at = now
        elif abs(now - at) > self.hysteresis:
            self.falling = not self.falling
            self.turned_at = now
        return {falling}(raw) if self.falling else {rising}(raw)
"""
_BYTES_A_LINE = 16
_PLACE_BITS = 16


def to_micropython(table: Table) -> bytes:
    """Return the table as a MicroPython module, plain ASCII."""
    branches = ["command"] if table.down is None else ["up", "down"]
    parts = [_head(table)]
    parts += [_map(form, branch) for form, branch in zip(table.branches, branches, strict=True)]
    if table.down is not None:
        rising, falling = ("up", "down") if table.up_with_raw else ("down", "up")
        parts.append(_FOLLOW.format(hysteresis=table.hysteresis, rising=rising, falling=falling))
    mismatch = " or ".join(f"{branch}(row[0]) != row[{i}]" for i, branch in enumerate(branches, 1))
    parts.append(_SELF_TEST.format(mismatch=mismatch))
    return "\n\n".join(parts).encode("ascii")


def _head(table: Table) -> str:
    places = table.places
    place = "RAW_HIGH - raw" if places.falling else "raw - RAW_LOW"
    if places.right_shift:
        place = f"({place}) >> {places.right_shift}"
    elif places.left_shift:
        place = f"({place}) << {places.left_shift}"
    return _HEAD.format(
        comment="\n".join(f"# {line}" for line in colophon(table)),
        raw_low=places.raw_low,
        raw_high=places.raw_high,
        lowest=table.limits.lowest,
        highest=table.limits.highest,
        crc=crc32(table),
        tests="\n".join(f"    {row}," for row in self_test(table)),
        place=place,
    )


def _map(form: Form, branch: str) -> str:
    if isinstance(form, Uniform):
        return _UNIFORM.format(
            branch=branch,
            data=byte_lines(form.knots),
            n=form.n,
            dropped_bits=_PLACE_BITS - form.fraction_bits,
            fraction_bits=form.fraction_bits,
            fraction_mask=(1 << form.fraction_bits) - 1,
            fine_bits=form.fine_bits,
            offset=form.offset,
        )
    records = zip(form.ends, form.at_ends, form.slopes, strict=True)
    return _PIECES.format(
        branch=branch,
        data=byte_lines([word for record in records for word in record]),
        last=form.size - 1,
        slope_bits=form.slope_bits,
        offset=form.offset,
    )


def byte_lines(words: Sequence[int]) -> str:
    """Return words of two bytes as indented literals, low byte first, so many a line."""
    data = b"".join(word.to_bytes(2, "little") for word in words)
    chunks = (data[i : i + _BYTES_A_LINE] for i in range(0, len(data), _BYTES_A_LINE))
    return "\n".join('    b"' + "".join(f"\\x{byte:02x}" for byte in chunk) + '"' for chunk in chunks)
