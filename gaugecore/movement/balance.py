"""What balances a pointer: a weight on its tail, or a longer tail."""

from __future__ import annotations

from gaugecore.errors import DesignError
from gaugecore.movement.mass import Mass, mass_of
from gaugecore.movement.pointer import Pointer

#: A longer tail than the blade is no pointer any more.
_LONGEST_SHARE = 1.0


def balancing_weight_g(pointer: Pointer, at_mm: float) -> float:
    """Return the weight that balances a pointer at a distance behind the pivot, besides what is there.

    Negative when the tail is too heavy already.

    Raises
    ------
    DesignError
        If the distance is not more than zero, or the pointer cannot be drawn.
    """
    if not at_mm > 0.0:
        raise DesignError(
            "a counterweight needs a distance from the pivot",
            where="pointer.counterweight_at_mm",
            found=at_mm,
            accepted="more than 0 mm",
        )
    mass = mass_of(pointer)
    return mass.mass_g * mass.centre_mm[1] / at_mm


def counterweight(pointer: Pointer, mass: Mass) -> tuple[float, float]:
    """Return the weight in g that balances a pointer, and where in mm behind the pivot.

    At the place of its counterweight; without one at the end of its tail, or a third of its length if that
    is farther. Negative when it is too heavy there already.

    Parameters
    ----------
    mass : Mass
        Of the pointer.

    Examples
    --------
    >>> needle = Pointer(length_mm=25.0)
    >>> weight_g, at_mm = counterweight(needle, mass_of(needle))
    >>> round(weight_g, 3), round(at_mm, 2)
    (0.083, 8.33)
    """
    at_mm = pointer.counterweight_at_mm or max(pointer.tail_mm, pointer.length_mm / 3.0)
    return mass.mass_g * mass.centre_mm[1] / at_mm, at_mm


def balancing_tail_mm(pointer: Pointer) -> float | None:
    """Return the length of tail that balances a pointer; None when none up to the blade's own length does.

    Notes
    -----
    The first moment rises with the tail without a jump and one way, so the root is bracketed by the boss and
    the blade's length.
    """
    from scipy.optimize import brentq

    def moment_gmm(tail_mm: float) -> float:
        mass = mass_of(pointer.model_copy(update={"tail_mm": tail_mm}))
        return mass.mass_g * mass.centre_mm[1]

    shortest_mm, longest_mm = pointer.boss_diameter_mm / 2.0, pointer.length_mm * _LONGEST_SHARE
    if moment_gmm(shortest_mm) < 0.0 or moment_gmm(longest_mm) > 0.0:
        return None
    return float(brentq(moment_gmm, shortest_mm, longest_mm, xtol=1e-6))
