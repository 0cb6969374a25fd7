"""One needle stepping through one move, twice: with the runtime, and as a maker writes it first."""

#: The runtime. The first call sets the needle, the others are ticks.
INTEGER_NEEDLE = """\
#include <stddef.h>
#include "nw_needle.c"

static const struct nw_setup setup = {
    .table = NULL, .low = 2000u, .high = 4000u, .park = 2000u, .speed = NW_SERVO_SPEED(3000UL),
    .change = NW_SERVO_CHANGE(30000UL), .start = NW_START_AT_PARK,
};
static struct nw_needle needle;
uint16_t step(uint16_t count);
uint16_t __attribute__((noinline)) step(uint16_t count)
{
    if (count == 0u) {
        nw_begin(&needle, &setup);
        (void)nw_command(&needle, 4000u);
    } else {
        nw_tick(&needle);
    }
    return nw_output(&needle);
}
volatile uint16_t sink;
int main(void) { for (;;) { sink = step(sink); } }
"""

#: Floating point and a square root, and nothing that keeps it inside limits but a comparison.
FLOAT_NEEDLE = """\
#include <math.h>
#include <stdint.h>

static float position, speed;
static const float target = 4000.0f, most = 120.0f, change = 24.0f, low = 2000.0f, high = 4000.0f;
uint16_t step(uint16_t count);
uint16_t __attribute__((noinline)) step(uint16_t count)
{
    if (count == 0u) {
        position = low;
        speed = 0.0f;
    } else {
        float gap = target - position;
        float wanted = sqrtf(2.0f * change * fabsf(gap));
        if (wanted > most) { wanted = most; }
        if (wanted > fabsf(gap)) { wanted = fabsf(gap); }
        if (gap < 0.0f) { wanted = -wanted; }
        if (wanted > speed + change) { wanted = speed + change; }
        if (wanted < speed - change) { wanted = speed - change; }
        speed = wanted;
        position += speed;
        if (position < low) { position = low; }
        if (position > high) { position = high; }
    }
    return (uint16_t)(position + 0.5f);
}
volatile uint16_t sink;
int main(void) { for (;;) { sink = step(sink); } }
"""
