"""Trains that fit a movement to an arc, and what each costs in resolution and slack at the needle."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, sqrt

import numpy as np

from gaugecore.movement.four_bar import FourBar
from gaugecore.movement.motion import usable_torque_mnm
from gaugecore.movement.pointing import Care, pointing
from gaugecore.movement.reach import reach, used_travel_deg
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import CrankLink, Direct, GearPair, slack_at_pointer_deg

#: The fewest teeth that a 20° rack does not undercut is 18 (2/sin² 20° = 17.1); more than 60 gets large.
_FEWEST_TEETH, _MOST_TEETH = 18, 60
#: A gear reaches up to this much further than the arc before another ratio is better.
_SPARE = 1.10
#: A link is proposed over at most this much of a travel; at 180° crank and link would lie in one line.
LINK_TRAVEL_DEG = 120.0
#: Distance of the two shafts by the longer of crank and arm: short at first, longer where a link needs it.
_SHAFTS_APART = (3.0, 5.0)
#: Below this transmission angle a link binds (textbook rule of thumb, from memory: 40° to 140°).
LEAST_TRANSMISSION_DEG = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A train that reaches, with its price.

    Attributes
    ----------
    train : Direct, GearPair or CrankLink
    reach_deg : float
        How far the pointer turns.
    resolution_deg, slack_deg : float
        At the needle, at the worst place of the arc.
    expected_deg : float
        Expected pointing error with a map for each direction.
    turns_round : bool
        Whether the pointer turns against the movement.
    words : str
        One phrase: ``gear 1.5:1 (36 and 24 teeth)``.
    """

    train: Direct | GearPair | CrankLink
    reach_deg: float
    resolution_deg: float
    slack_deg: float
    expected_deg: float
    turns_round: bool
    words: str

    def sentence(self) -> str:
        """Return what it gives.

        Examples
        --------
        >>> proposals = propose(Servo(dead_band_us=3.0), arc_deg=270.0)
        >>> proposals[0].sentence()
        'gear 1.5:1 (27 and 18 teeth) from the same servo gives 270° at 0.45° resolution, 2° slack'
        """
        return (
            f"{self.words} gives {self.reach_deg:.0f}° at {self.resolution_deg:.2g}° resolution, "
            f"{self.slack_deg:.2g}° slack"
        )


def propose(movement: Servo | Stepper, *, arc_deg: float, load_mnm: float = 0.0) -> tuple[Proposal, ...]:
    """Return trains that carry the needle over an arc, the finest pointing first.

    A gear that reaches more than the arc is not proposed when one that fits it closer exists: what the
    movement has to spare makes the pointing finer.

    Parameters
    ----------
    arc_deg : float
        Span of the scale, more than 0.
    load_mnm : float
        Torque of the needle's unbalance and friction; a train through which the movement cannot turn it is
        not proposed.
    """
    found: list[Proposal] = []
    if movement.travel_deg >= arc_deg:
        found.append(_priced(movement, Direct(), arc_deg))
    teeth = _teeth_for(arc_deg / movement.travel_deg)
    if teeth is not None and abs(teeth[0] / teeth[1] - 1.0) > 0.02:
        driver, driven = teeth
        train = GearPair(ratio=driver / driven, movement_teeth=driver, pointer_teeth=driven)
        found.append(_priced(movement, train, arc_deg))
    link = link_for(movement.travel_deg, arc_deg)
    if link is not None:
        found.append(_priced(movement, link, arc_deg))
    found = [proposal for proposal in found if _torque_mnm(movement, proposal, arc_deg) >= load_mnm]
    return tuple(sorted(found, key=lambda proposal: proposal.expected_deg))


def _torque_mnm(movement: Servo | Stepper, proposal: Proposal, arc_deg: float) -> float:
    used_deg = used_travel_deg(proposal.train, movement.travel_deg, arc_deg)
    return usable_torque_mnm(movement) / max(reach(proposal.train, used_deg).most_slope, 1e-9)


def train_words(train: Direct | GearPair | CrankLink) -> str:
    """Return a train as one phrase.

    Examples
    --------
    >>> train_words(GearPair(ratio=1.5, movement_teeth=27, pointer_teeth=18))
    'gear 1.5:1 (27 and 18 teeth)'
    """
    match train:
        case Direct():
            return "direct"
        case GearPair():
            teeth = (
                f" ({train.movement_teeth} and {train.pointer_teeth} teeth)" if train.movement_teeth else ""
            )
            return f"gear {train.ratio:.3g}:1{teeth}"
        case CrankLink():
            return (
                f"link of {train.crank_mm:g} mm crank, {train.link_mm:g} mm rod and {train.arm_mm:g} mm arm"
            )


def _priced(movement: Servo | Stepper, train: Direct | GearPair | CrankLink, arc_deg: float) -> Proposal:
    used_deg, words = movement.travel_deg, train_words(train)
    if isinstance(train, CrankLink):
        used_deg = min(used_deg, LINK_TRAVEL_DEG)
        words += f" over {used_deg:.0f}° of travel"
    reached = reach(train, used_deg)
    budget = pointing(movement, train, arc_deg=arc_deg)
    return Proposal(
        train=train,
        reach_deg=reached.span_deg,
        resolution_deg=budget.resolution_deg,
        slack_deg=movement.slack_deg * reached.most_slope + slack_at_pointer_deg(train),
        expected_deg=budget.expected_deg(Care.PER_DIRECTION),
        turns_round=isinstance(train, GearPair) and not train.idler,
        words=f"{words} from the same {movement.kind}",
    )


def _teeth_for(ratio: float) -> tuple[int, int] | None:
    """Return teeth on movement and pointer for at least a ratio: close to it, then few of them."""
    best: tuple[float, tuple[int, int]] | None = None
    for driven in range(_FEWEST_TEETH, _MOST_TEETH + 1):
        # a hair below the ratio is rounding, not a shortfall
        driver = max(_FEWEST_TEETH, ceil(ratio * driven * (1.0 - 1e-9)))
        if driver > 2 * _MOST_TEETH or driver / driven > ratio * _SPARE:
            continue
        cost = (driver / driven / ratio - 1.0) * 200.0 + (driver + driven) / 10.0
        if best is None or cost < best[0]:
            best = cost, (driver, driven)
    return best[1] if best else None


@lru_cache(maxsize=256)  # a second's work, asked for again at every check of the panel
def link_for(travel_deg: float, arc_deg: float, *, arm_mm: float = 12.0) -> CrankLink | None:
    """Return a four-bar that turns the pointer by an arc over a travel, None when none does so kindly.

    Crank and arm stand square to the line of shafts at mid-travel, so that the map is nearly symmetric; the
    length of the crank is solved for. Since a crank in line with its link moves nothing, at most
    `LINK_TRAVEL_DEG` of the travel is used.
    """
    links = (_link_apart(travel_deg, arc_deg, arm_mm, apart) for apart in _SHAFTS_APART)
    return next((link for link in links if link is not None), None)


def _link_apart(travel_deg: float, arc_deg: float, arm_mm: float, apart: float) -> CrankLink | None:
    from scipy.optimize import brentq

    swing_deg = min(travel_deg, LINK_TRAVEL_DEG)

    def train(crank_mm: float) -> CrankLink:
        ground_mm = apart * max(arm_mm, crank_mm)
        link_mm = sqrt(ground_mm**2 + (crank_mm - arm_mm) ** 2)
        return CrankLink(
            ground_mm=round(ground_mm, 1), crank_mm=crank_mm, link_mm=round(link_mm, 1), arm_mm=arm_mm
        )

    def spare_deg(crank_mm: float) -> float:
        reached = reach(train(crank_mm), swing_deg)
        return (reached.span_deg if reached.whole else 360.0) - arc_deg

    shortest_mm, longest_mm = 0.1 * arm_mm, 3.0 * arm_mm
    if spare_deg(shortest_mm) > 0.0 or spare_deg(longest_mm) < 0.0:
        return None
    crank_mm = float(brentq(spare_deg, shortest_mm, longest_mm, xtol=1e-3))
    # up to the next tenth, which can be drilled and keeps the arc in reach
    link = train(ceil(crank_mm * 10.0) / 10.0)
    reached = reach(link, swing_deg)
    # the check looks at the part of the whole travel that the arc takes, which lies a little aside
    swings_deg = (swing_deg, used_travel_deg(link, travel_deg, arc_deg))
    kind_deg = min(worst_transmission_deg(link.linkage, link.crank_deg, swing) for swing in swings_deg)
    good = reached.whole and arc_deg <= reached.span_deg <= _SPARE * arc_deg
    return link if good and kind_deg >= LEAST_TRANSMISSION_DEG else None


def worst_transmission_deg(linkage: FourBar, crank_deg: float, travel_deg: float) -> float:
    """Return how close link and arm come to one line over a travel, in degrees; 90 is best."""
    angles = linkage.transmissions_deg(crank_deg + travel_deg * np.linspace(-0.5, 0.5, 91))
    return float(np.nan_to_num(np.minimum(angles, 180.0 - angles)).min())
