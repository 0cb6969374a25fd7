/*
 * A complete small program for a bare board: reads raw values from its serial line (needle_line.h) and moves
 * the needles of needles.h, which comes with the exported tables. README.md has the command that makes it.
 *
 * First power-up: with the needles off their shafts. Never for a real aircraft, vehicle or vessel.
 */
#include <avr/interrupt.h>

#include "avr_board.h"
#include "needle_line.h"
#include "nw_needle.h"
#include "nw_pulses.h"
#include "nw_serial.h"
#include "nw_stepper.h"

#include "needles.h"

#if NEEDLE_SERVOS > NW_SERVOS || NEEDLE_STEPPERS > NW_STEPPERS
#error "more needles than there are pins for: see avr_board.h"
#endif
#define NEEDLES (NEEDLE_SERVOS + NEEDLE_STEPPERS)

static struct nw_needle needles[NEEDLES];
static struct needle_line line;

static void servo_tick(void)
{
    uint8_t i;

    for (i = 0u; i < NEEDLE_SERVOS; i++) {
        nw_tick(&needles[i]);
        nw_pulses_set(i, (nw_state(&needles[i]) == NW_RELAXED) ? 0u : nw_output(&needles[i]));
    }
}

#if NEEDLE_STEPPERS > 0
static void stepper_tick(void)
{
    struct nw_needle *const needle = &needles[NEEDLE_SERVOS];

    nw_tick(needle);
    nw_stepper_move(needle->moved, nw_state(needle) != NW_RELAXED);
}
#endif

static void take(uint8_t byte)
{
    const uint8_t count = needle_line_take(&line, byte);
    uint8_t i;

    if (count <= NEEDLES) {
        for (i = 0u; i < count; i++) {
            nw_raw(&needles[i], line.values[i]);
        }
    }
}

int main(void)
{
    uint8_t byte, i;

    for (i = 0u; i < NEEDLES; i++) {
        nw_begin(&needles[i], &needle_setups[i]);
    }
    nw_serial_begin();
    nw_pulses_begin();
#if NEEDLE_STEPPERS > 0
    nw_stepper_begin();
#endif
    sei();
    for (;;) {
        if (nw_pulses_frame()) {
            servo_tick();
        }
#if NEEDLE_STEPPERS > 0
        if (nw_stepper_due()) {
            stepper_tick();
        }
#endif
        if (nw_serial_read(&byte)) {
            take(byte);
        } else {
            nw_serial_rest();
        }
    }
}
