/*
 * Servo pulses from timer 1, which counts 0.5 us ticks round and round and is never stopped or set.
 *
 * Servo 0 is on the timer's own output OC1A: the timer itself makes both edges, so they have no jitter at all.
 * The interrupt after each edge only says when and which the next one is, and may be late by any time shorter
 * than the shortest pulse.
 *
 * Servos 1 to 3 take turns, each in its own part of the frame, so that servos do not start together either.
 * Their interrupt comes ahead of the edge by more than the other interrupts together can hold it up, waits for
 * the tick of the edge, and sets the pin.
 */
#include "nw_pulses.h"

#include <avr/interrupt.h>
#include <util/atomic.h>

#include "avr_board.h"

#define FRAME 40000u
#define TURN (FRAME / NW_SERVOS)
/* 20 us: the longest path through all other interrupts of these programs takes less (tests/firmware). */
#ifndef AHEAD
#define AHEAD 40u
#endif
#define PIN_IS_LOW 0u /* the timer lets go of the pin, and the port holds it low */
#define CLEAR_ON_MATCH _BV(COM1A1)
#define SET_ON_MATCH (_BV(COM1A1) | _BV(COM1A0))

static const uint8_t pins[] = NW_SERVO_PINS;
static volatile uint16_t widths[NW_SERVOS];
static volatile bool frame_due;

static uint16_t frame_start; /* tick of servo 0's rising edge */
static uint16_t last_width;
static bool rising_next;

void nw_pulses_begin(void)
{
    uint8_t i;

    for (i = 0u; i < NW_SERVOS; i++) {
        NW_SERVO_PORT &= (uint8_t)~pins[i];
        NW_SERVO_DIRECTION |= pins[i];
    }
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        const uint16_t now = TCNT1;

        TCCR1A = PIN_IS_LOW;
        TCCR1B = _BV(CS11);
        frame_start = (uint16_t)(now + 2000u);
        rising_next = true;
        OCR1A = frame_start;
        TIFR1 = _BV(OCF1A) | _BV(OCF1B);
        TIMSK1 = _BV(OCIE1A);
#if NW_SERVOS > 1
        OCR1B = (uint16_t)(frame_start + TURN - AHEAD);
        TIMSK1 |= _BV(OCIE1B);
#endif
    }
}

void nw_pulses_set(uint8_t channel, uint16_t ticks)
{
    if ((channel < NW_SERVOS) && ((ticks == 0u) || ((ticks >= NW_LEAST_TICKS) && (ticks <= NW_MOST_TICKS)))) {
        ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
        {
            widths[channel] = ticks;
        }
    }
}

bool nw_pulses_frame(void)
{
    const bool due = frame_due;

    if (due) {
        frame_due = false;
    }
    return due;
}

/* Says what the timer does at the start of the next frame. */
static inline void arm_next_frame(void)
{
    frame_start = (uint16_t)(frame_start + FRAME);
    TCCR1A = (widths[0] != 0u) ? SET_ON_MATCH : PIN_IS_LOW;
    OCR1A = frame_start;
    rising_next = true;
}

ISR(TIMER1_COMPA_vect)
{
    if (!rising_next) {
        arm_next_frame();
        return;
    }
    frame_due = true;
    if (TCCR1A == PIN_IS_LOW) {
        arm_next_frame(); /* nothing rose: the channel is relaxed */
        return;
    }
    if (widths[0] != 0u) {
        last_width = widths[0]; /* else relaxed since it was armed: one last pulse like the one before */
    }
    TCCR1A = CLEAR_ON_MATCH;
    OCR1A = (uint16_t)(frame_start + last_width);
    rising_next = false;
}

#if NW_SERVOS > 1
static uint8_t turn = 1u;  /* whose */
static bool falling_next;

/* Waits for a tick that is near; the five cycles of the loop are the jitter. */
static inline void wait_for(uint16_t tick)
{
    const uint8_t low = (uint8_t)(tick & 0xFFu);

    if ((int16_t)(tick - TCNT1) > 3) {
        while (TCNT1L != low) {
        }
    }
}

ISR(TIMER1_COMPB_vect)
{
    const uint16_t edge = (uint16_t)(OCR1B + AHEAD);
    const uint8_t pin = pins[turn];
    const uint16_t width = widths[turn];
    const bool falling = falling_next;
    const uint8_t level = falling ? (uint8_t)(NW_SERVO_PORT & (uint8_t)~pin) : (uint8_t)(NW_SERVO_PORT | pin);
    static uint16_t start;

    if (falling || (width != 0u)) {
        wait_for(edge);
        NW_SERVO_PORT = level;
    }
    if (!falling) {
        start = edge;
        if (width != 0u) {
            falling_next = true;
            OCR1B = (uint16_t)(edge + width - AHEAD);
            return;
        }
    }
    falling_next = false;
    turn++;
    if (turn == NW_SERVOS) {
        turn = 1u;
        /* servo 0 has the first part of the frame */
        start = (uint16_t)(start + TURN + (FRAME - NW_SERVOS * TURN));
    }
    OCR1B = (uint16_t)(start + TURN - AHEAD);
}
#endif
