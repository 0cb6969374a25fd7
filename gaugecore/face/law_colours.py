"""Colours of ranges by published law, for users who ask for them; they may always choose others.

14 CFR 25.1549: limits are red, normal ranges green, precautionary ranges yellow. Which red is left to the
maker; these three stand out from white and from black.
"""

from __future__ import annotations

import colorsys
from typing import Final

from gaugecore.face.face import RangeMeaning

SOURCE: Final = "14 CFR 25.1549"
LAW_COLOURS: Final = {
    RangeMeaning.NORMAL: "#23803f",
    RangeMeaning.PRECAUTION: "#b58900",
    RangeMeaning.LIMIT: "#c1121f",
}
NAMES: Final = {
    RangeMeaning.NORMAL: "green",
    RangeMeaning.PRECAUTION: "yellow",
    RangeMeaning.LIMIT: "red",
}
#: Hues in degrees of the colour circle that go by each name; the bounds are ours.
_HUES: Final = {
    RangeMeaning.NORMAL: (80.0, 170.0),
    RangeMeaning.PRECAUTION: (35.0, 70.0),
    RangeMeaning.LIMIT: (-20.0, 20.0),
}
_PALEST: Final = 0.3


def is_lawful(colour: str, meaning: RangeMeaning) -> bool:
    """Return whether a colour goes by the name that the law has for a range.

    Examples
    --------
    >>> is_lawful("#c1121f", RangeMeaning.LIMIT), is_lawful("#c1121f", RangeMeaning.NORMAL)
    (True, False)
    """
    red, green, blue = (int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5))
    hue, saturation, _ = colorsys.rgb_to_hsv(red, green, blue)
    low_deg, high_deg = _HUES[meaning]
    hue_deg = (hue * 360.0 - low_deg) % 360.0 + low_deg
    return saturation >= _PALEST and low_deg <= hue_deg <= high_deg
