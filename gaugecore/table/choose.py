"""Making a table: both forms are fitted, both are checked over every raw value, the smaller is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gaugecore.errors import TableError
from gaugecore.table.flash import flash_bytes, most_uniform_knots
from gaugecore.table.integer import Form, Origin, OutputUnit, Table, verified_error
from gaugecore.table.knots import FreeKnots
from gaugecore.table.pieces import fewest_pieces
from gaugecore.table.places import HIGHEST_PLACE, Places
from gaugecore.table.points import fewest_points
from gaugecore.table.spacing import fewest_intervals
from gaugecore.table.target import Limits, Target, Tunnel, allowed
from gaugecore.table.uniform import COARSE, FINER, MOST_INTERVALS, MOST_STEP, Uniform, with_bytes

#: Finer knots than eighths of an output save no entries worth their shifts; with a finer fraction, knots in
#: parts of an output save none either.
_UNIFORM_KINDS = (*((fine_bits, COARSE) for fine_bits in range(4)), (0, FINER))
#: In a tunnel wider than this, parts of an output save nothing.
_COARSE_WIDTH = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What a table must be, in output units.

    Attributes
    ----------
    origin : Origin
        Where it comes from.
    limits : Limits
        The lowest and highest integer that may ever be sent.
    max_error : float
        Largest distance from the exact commands, rounding included.
    unit, ticks_per_unit, pinned_raw, up_with_raw, hysteresis
        As in `Table`.
    flash_bytes : int or None
        Most bytes of program memory, code included; None: any number.
    """

    origin: Origin
    limits: Limits
    max_error: float
    unit: OutputUnit
    ticks_per_unit: float = 1.0
    pinned_raw: tuple[int, ...] = ()
    up_with_raw: bool = True
    hysteresis: int = 0
    flash_bytes: int | None = None


def make_table(targets: Sequence[Target], order: Order) -> Table:
    """Return the smallest table that stays within an error bound.

    Parameters
    ----------
    targets : sequence of Target
        The exact commands: one for both directions, or up and down.
    order : Order
        What the table must be.

    Raises
    ------
    TableError
        If there is none; the message says what can be reached.
    """
    candidates = _candidates(targets, order, order.max_error)
    if not candidates:
        raise _none_found(targets, order)
    chosen = candidates[0]
    if order.flash_bytes is not None and chosen.flash_bytes > order.flash_bytes:
        raise _too_large(targets, order, chosen.flash_bytes)
    tunnels = _tunnels(targets, order, order.max_error)
    checked = zip(chosen.forms, targets, strict=True)
    return Table(
        origin=order.origin,
        places=targets[0].places,
        up=chosen.forms[0],
        down=chosen.forms[1] if len(chosen.forms) > 1 else None,
        up_with_raw=order.up_with_raw,
        hysteresis=order.hysteresis,
        limits=order.limits,
        unit=order.unit,
        ticks_per_unit=order.ticks_per_unit,
        pinned_raw=order.pinned_raw,
        worst_error=max(verified_error(form, target, order.limits) for form, target in checked),
        flash_bytes=chosen.flash_bytes,
        choice=_explained(candidates),
        points=tuple(fewest_points(*one) for one in zip(targets, tunnels, strict=True)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Candidate:
    forms: tuple[Form, ...]
    flash_bytes: int


def _candidates(targets: Sequence[Target], order: Order, max_error: float) -> list[_Candidate]:
    """Return the best table of each form, the smallest first; none that is sure to be larger."""
    tunnels = _tunnels(targets, order, max_error)
    places = targets[0].places
    pieces = _pieces(tunnels)
    found = [] if pieces is None else [_candidate(pieces, places)]
    # evenly spaced pieces cannot be fewer than free ones
    at_least = 1 if pieces is None else max(form.fewest for form in pieces)
    smallest = found[0].flash_bytes if found else None
    uniform: _Candidate | None = None
    for fine_bits, fraction_bits in _UNIFORM_KINDS:
        spaced = _spaced(tunnels, fine_bits, fraction_bits, at_least, smallest)
        if spaced is not None:
            candidate = _candidate(with_bytes(spaced), places)
            if uniform is None or candidate.flash_bytes < uniform.flash_bytes:
                uniform = candidate
                smallest = min(smallest or candidate.flash_bytes, candidate.flash_bytes)
    if uniform is not None:
        found.append(uniform)
    return sorted(found, key=lambda candidate: candidate.flash_bytes)


def _tunnels(targets: Sequence[Target], order: Order, max_error: float) -> list[Tunnel]:
    return [allowed(target, order.limits, max_error, order.pinned_raw) for target in targets]


def _candidate(forms: Sequence[Form], places: Places) -> _Candidate:
    return _Candidate(forms=tuple(forms), flash_bytes=flash_bytes(forms, places))


def _pieces(tunnels: Sequence[Tunnel]) -> list[FreeKnots] | None:
    found = [fewest_pieces(tunnel, offset=_offset(tunnels, 0)) for tunnel in tunnels]
    pieces = [replace(form, alone=len(tunnels) == 1) for form in found if form is not None]
    return pieces if len(pieces) == len(found) else None


def _spaced(
    tunnels: Sequence[Tunnel], fine_bits: int, fraction_bits: int, at_least: int, smallest: int | None
) -> list[Uniform] | None:
    """Return uniform tables, None when there are none or none that could be smaller than what is there."""
    if (_span(tunnels) + 1) << fine_bits > HIGHEST_PLACE:
        return None
    if fine_bits and min(int((tunnel.high - tunnel.low).max()) for tunnel in tunnels) > _COARSE_WIDTH:
        return None
    at_most = MOST_INTERVALS
    if smallest is not None:
        at_most = min(at_most, most_uniform_knots(smallest) // len(tunnels) - 1)
    return fewest_intervals(
        tunnels,
        offset=_offset(tunnels, fine_bits),
        fine_bits=fine_bits,
        fraction_bits=fraction_bits,
        at_least=at_least,
        at_most=at_most,
    )


def _span(tunnels: Sequence[Tunnel]) -> int:
    return max(int(t.high[-1]) for t in tunnels) - min(int(t.low[0]) for t in tunnels)


def _offset(tunnels: Sequence[Tunnel], fine_bits: int) -> int:
    """Return 0 where two bytes hold every knot as it is, else the lowest output."""
    lowest = min(int(tunnel.low[0]) for tunnel in tunnels)
    highest = max(int(tunnel.high[-1]) for tunnel in tunnels)
    return 0 if lowest >= 0 and ((highest + 1) << fine_bits) + MOST_STEP <= HIGHEST_PLACE else lowest


def _explained(candidates: list[_Candidate]) -> str:
    """Return why the first of the candidates was kept, one sentence."""
    chosen = f"{_described(candidates[0])}; about {candidates[0].flash_bytes} bytes of flash on an 8-bit AVR"
    if len(candidates) == 1:
        other = "free knots" if isinstance(candidates[0].forms[0], Uniform) else "a uniform table"
        return f"{chosen}; {other} would take more."
    return f"{chosen}; {_described(candidates[1])} would take {candidates[1].flash_bytes}."


def _described(candidate: _Candidate) -> str:
    forms = candidate.forms
    sizes = " and ".join(str(form.size) for form in forms)
    if isinstance(forms[0], Uniform):
        each = "two bytes" if forms[0].line_step is None else "a byte"
        return f"uniform table, {sizes} knots of {each} each"
    proven = all(isinstance(form, FreeKnots) and form.size == form.fewest for form in forms)
    return f"free knots, {sizes} pieces" + (" (proven fewest)" if proven else "")


def _none_found(targets: Sequence[Target], order: Order) -> TableError:
    return TableError(
        "no table of the sizes there are follows the commands this closely",
        found=order.max_error / order.ticks_per_unit,
        accepted=_wider(targets, order, None),
    )


def _too_large(targets: Sequence[Target], order: Order, found: int) -> TableError:
    return TableError(
        "the table is larger than the flash given",
        found=f"about {found} bytes for {order.flash_bytes}",
        accepted=_wider(targets, order, order.flash_bytes),
    )


def _wider(targets: Sequence[Target], order: Order, flash: int | None) -> str:
    """Return the words for an error bound that would do, found by doubling."""
    for doublings in range(1, 8):
        max_error = order.max_error * 2**doublings
        candidates = _candidates(targets, order, max_error)
        if candidates and (flash is None or candidates[0].flash_bytes <= flash):
            bound = max_error / order.ticks_per_unit
            return f"--max-error {bound:g} ({candidates[0].flash_bytes} bytes), or more flash"
    return "more flash" if flash is not None else "a smoother fit"
