"""What a maker writes first, and next: rivals in C for the same curve and error, compiled the same way."""

from __future__ import annotations

import numpy as np

from gaugecore.table.points import fewest_points
from tests.table.curves import Curve, curve_a, target_of, tunnel_of

_NAIVE = """\
#include <stdint.h>
static float xs[%(n)d] = {%(xs)s};
static float ys[%(n)d] = {%(ys)s};
volatile uint16_t sink;
uint16_t naive(uint16_t raw);
uint16_t __attribute__((noinline)) naive(uint16_t raw)
{
    uint8_t i = 0u;
    float x = (float)raw;
    while (i < %(last)du && x > xs[i + 1u]) {
        i++;
    }
    return (uint16_t)(ys[i] + (ys[i + 1u] - ys[i]) * (x - xs[i]) / (xs[i + 1u] - xs[i]) + 0.5f);
}
int main(void) { for (;;) { xs[0] += (float)(sink & 0u); sink = naive(sink); } }
"""
_LONG = """\
#include <stdint.h>
#include <avr/pgmspace.h>
static const uint16_t xs[%(n)d] PROGMEM = {%(xs)s};
static const uint16_t ys[%(n)d] PROGMEM = {%(ys)s};
volatile uint16_t sink;
uint16_t naive(uint16_t raw);
uint16_t __attribute__((noinline)) naive(uint16_t raw)
{
    uint8_t i = 0u;
    while (i < %(last)du && raw > pgm_read_word(&xs[i + 1u])) {
        i++;
    }
    const uint16_t x0 = pgm_read_word(&xs[i]);
    const uint16_t y0 = pgm_read_word(&ys[i]);
    const uint16_t dx = (uint16_t)(pgm_read_word(&xs[i + 1u]) - x0);
    const uint16_t dy = (uint16_t)(pgm_read_word(&ys[i + 1u]) - y0);
    return (uint16_t)(y0 + ((uint32_t)(uint16_t)(raw - x0) * dy + (dx >> 1)) / dx);
}
int main(void) { for (;;) { sink = naive(sink); } }
"""


#: The same program without a table, to tell what a table adds.
NO_TABLE: dict[str, str | bytes] = {
    "main.c": "#include <stdint.h>\nvolatile uint16_t sink;\nuint16_t naive(uint16_t raw);\n"
    "uint16_t __attribute__((noinline)) naive(uint16_t raw) { return raw; }\n"
    "int main(void) { for (;;) { sink = naive(sink); } }\n"
}


def naive_points(max_error: float, curve: Curve = curve_a) -> tuple[np.ndarray, np.ndarray]:
    """Return evenly spaced points on a curve, the fewest whose interpolation, rounded, is close enough."""
    raw = np.arange(65536)
    exact = target_of(curve).lowest
    for n in range(2, 400):
        xs = np.linspace(0, 65535, n)
        outputs = np.floor(np.interp(raw, xs, np.interp(xs, raw, exact)) + 0.5)
        if np.abs(outputs - exact).max() <= max_error:
            return xs, np.interp(xs, raw, exact)
    raise AssertionError("no table of points is close enough")


def naive_source(max_error: float, curve: Curve = curve_a) -> dict[str, str | bytes]:
    """Return a program with float points and a linear search."""
    xs, ys = naive_points(max_error, curve)
    return {"main.c": _filled(_NAIVE, [f"{x:.3f}f" for x in xs], [f"{y:.4f}f" for y in ys])}


def long_points(max_error: float, curve: Curve = curve_a) -> tuple[list[int], list[int]]:
    """Return the fewest whole points whose joining lines, rounded, are close enough: this project's own."""
    target = target_of(curve)
    points = fewest_points(target, tunnel_of(target, max_error))
    return list(points.raw), list(points.command)


def long_source(max_error: float, curve: Curve = curve_a) -> dict[str, str | bytes]:
    """Return a program that multiplies and divides 32-bit integers between integer points."""
    xs, ys = long_points(max_error, curve)
    return {"main.c": _filled(_LONG, [f"{x}u" for x in xs], [f"{y}u" for y in ys])}


def _filled(template: str, xs: list[str], ys: list[str]) -> str:
    return template % {"n": len(xs), "last": len(xs) - 2, "xs": ", ".join(xs), "ys": ", ".join(ys)}
