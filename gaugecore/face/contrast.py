"""Contrast of colours as light, and how they look to eyes that tell fewer of them apart."""

from __future__ import annotations

from typing import Final

#: WCAG 2.1, definition of relative luminance.
_WEIGHTS: Final = (0.2126, 0.7152, 0.0722)
_KNEE: Final = 0.04045
_FLARE: Final = 0.05

#: Machado, Oliveira and Fernandes (2009), complete deficiency, on linear red, green, blue; from memory.
DEFICIENCIES: Final = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
#: sRGB to CIE XYZ, IEC 61966-2-1, and the white of D65; from memory.
_TO_XYZ: Final = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
_WHITE: Final = (0.95047, 1.0, 1.08883)

Linear = tuple[float, float, float]


def luminance(colour: str) -> float:
    """Return the relative luminance of ``#rrggbb``, from 0 (black) to 1 (white).

    Examples
    --------
    >>> luminance("#ffffff")
    1.0
    """
    return sum(weight * part for weight, part in zip(_WEIGHTS, linear(colour), strict=True))


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, from 1 to 21.

    Examples
    --------
    >>> round(contrast("#000000", "#ffffff"), 6)
    21.0
    """
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + _FLARE) / (darker + _FLARE)


def linear(colour: str) -> Linear:
    """Return red, green and blue of ``#rrggbb`` as amounts of light, 0 to 1."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5))
    return _linear(red), _linear(green), _linear(blue)


def _linear(part: float) -> float:
    return part / 12.92 if part <= _KNEE else float(((part + 0.055) / 1.055) ** 2.4)


def as_seen(colour: str, deficiency: str) -> Linear:
    """Return a colour as an eye with a deficiency sees it, as amounts of light."""
    seen = _times(DEFICIENCIES[deficiency], linear(colour))
    red, green, blue = (min(max(part, 0.0), 1.0) for part in seen)
    return red, green, blue


def difference(one: Linear, other: Linear) -> float:
    """Return how far apart two colours look: the distance in CIE L*a*b* of 1976."""
    a, b = _lab(one), _lab(other)
    return float(sum((x - y) ** 2 for x, y in zip(a, b, strict=True)) ** 0.5)


def _lab(colour: Linear) -> Linear:
    x, y, z = (_root(part / white) for part, white in zip(_times(_TO_XYZ, colour), _WHITE, strict=True))
    return 116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)


def _root(part: float) -> float:
    return (
        float(part ** (1.0 / 3.0))
        if part > (6.0 / 29.0) ** 3
        else part * (29.0 / 6.0) ** 2 / 3.0 + 4.0 / 29.0
    )


def _times(matrix: tuple[Linear, ...], colour: Linear) -> Linear:
    red, green, blue = (sum(m * part for m, part in zip(row, colour, strict=True)) for row in matrix)
    return red, green, blue
