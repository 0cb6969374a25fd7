"""Making a table: both forms are fitted, both are checked over every raw value, the smaller is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gaugecore.errors import TableError
from gaugecore.table.integer import Form, Origin, OutputUnit, Table, verified_error
from gaugecore.table.target import Limits, Target, allowed
from gaugecore.table.uniform import fewest_intervals


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
    forms: list[Form] = []
    for target in targets:
        tunnel = allowed(target, order.limits, order.max_error, order.pinned_raw)
        form = min(
            (f for f in (fewest_intervals(tunnel, fine_bits=b) for b in range(3)) if f),
            key=lambda f: 2 * f.size + 4 * f.fine_bits,
            default=None,
        )
        if form is None:
            raise TableError("no table is close enough", found=order.max_error, accepted="a larger bound")
        forms.append(form)
    checked = zip(forms, targets, strict=True)
    return Table(
        origin=order.origin,
        places=targets[0].places,
        up=forms[0],
        down=forms[1] if len(forms) > 1 else None,
        up_with_raw=order.up_with_raw,
        hysteresis=order.hysteresis,
        limits=order.limits,
        unit=order.unit,
        ticks_per_unit=order.ticks_per_unit,
        pinned_raw=order.pinned_raw,
        worst_error=max(verified_error(form, target, order.limits) for form, target in checked),
    )
