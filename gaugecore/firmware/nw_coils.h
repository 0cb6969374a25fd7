/*
 * The coils of a stepper on four pins: turns what nw_tick() moved into evenly spaced steps.
 *
 * A timer calls nw_coils_step() 32 times a tick of the needle; when it has taken what was last given it sets
 * `due`, and the program then calls nw_tick() and gives the next. Portable: the port only puts the four bits on
 * its pins.
 */
#ifndef NW_COILS_H
#define NW_COILS_H

#include <stdbool.h>
#include <stdint.h>

#define NW_COIL_CALLS 32u

/* Four coil ends, bit 0 to 3: coil one between bits 0 and 1, coil two between bits 2 and 3. */
struct nw_coils {
    volatile int16_t next;   /* parts to move in the coming tick */
    volatile bool due;       /* `next` has been taken */
    volatile bool energised;
    const uint8_t *pattern;  /* coil states, one a step */
    uint8_t states;          /* how many */
    uint8_t state;
    uint8_t left;            /* calls left of this tick */
    uint16_t whole;          /* steps made, modulo 65536 */
    uint32_t fine;           /* where it should be, in 1/65536 step */
    uint32_t rate;           /* what a call adds to it */
};

/* A gauge stepper: the fields of its coils stand 60 degrees apart, and six states give six equal fields. */
static const uint8_t nw_gauge_states[6] = {0x9u, 0x1u, 0x7u, 0x6u, 0xEu, 0x8u};
/* A two-phase stepper behind a bridge on each coil: four states, both coils always on. */
static const uint8_t nw_two_phase_states[4] = {0x5u, 0x6u, 0xAu, 0x9u};

static inline void nw_coils_begin(struct nw_coils *coils, const uint8_t *pattern, uint8_t states)
{
    coils->next = 0;
    coils->due = true;
    coils->energised = false;
    coils->pattern = pattern;
    coils->states = states;
    coils->state = 0u;
    coils->left = 0u;
    coils->whole = 0u;
    coils->fine = 0x8000u; /* steps fall half way between whole commands, the same going up and down */
    coils->rate = 0u;
}

/* One call of the timer; returns the four bits. Never more than one step a call. */
static inline uint8_t nw_coils_step(struct nw_coils *coils)
{
    uint16_t ahead;

    if (coils->left == 0u) {
        /* 128 parts to a step and 32 calls: a part is 16 of 65536 in each call */
        coils->rate = (uint32_t)(int32_t)coils->next << 4;
        coils->next = 0;
        coils->due = true;
        coils->left = NW_COIL_CALLS;
    }
    coils->left--;
    coils->fine += coils->rate;
    ahead = (uint16_t)((uint16_t)(coils->fine >> 16) - coils->whole);
    if (ahead == 0u) {
        /* nothing to do this time */
    } else if (ahead < 0x8000u) {
        coils->whole++;
        coils->state++;
        if (coils->state == coils->states) {
            coils->state = 0u;
        }
    } else {
        coils->whole--;
        coils->state = (uint8_t)(((coils->state == 0u) ? coils->states : coils->state) - 1u);
    }
    return coils->energised ? coils->pattern[coils->state] : 0u;
}

#endif
