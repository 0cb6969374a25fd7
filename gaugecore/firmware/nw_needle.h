/*
 * One needle: from raw values, or commands, to what its movement is sent.
 *
 * Portable C99 without division on the way, floating point, or allocated memory. A program owns one
 * struct nw_needle for each dial, feeds it values with nw_raw() whenever they come, and calls nw_tick() at a
 * steady rate: for a servo once a frame of 20 ms, for a stepper every 4 ms. What nw_output() then gives is
 * never outside the limits and never moves faster than set.
 *
 * A moving needle can hurt: keep fingers out of the sweep. Never for a real aircraft, vehicle or vessel.
 */
#ifndef NW_NEEDLE_H
#define NW_NEEDLE_H

#include <stdbool.h>
#include <stdint.h>

/* Positions count in parts of a command; commands are timer ticks for a servo, steps for a stepper. */
#define NW_PART_BITS 7
#define NW_PARTS (1L << NW_PART_BITS)
#define NW_FASTEST 32767

/* Settings from daily units, worked out by the compiler; a timer tick is 0.5 us, so 2 to the microsecond. */
#define NW_SERVO_RATE 50UL
#define NW_STEPPER_RATE 250UL
#define NW_AT_MOST(most, value) ((uint16_t)(((value) > (most)) ? (most) : (value)))
#define NW_SERVO_SPEED(us_per_s) NW_AT_MOST(NW_FASTEST, (us_per_s) * 2UL * NW_PARTS / NW_SERVO_RATE)
#define NW_SERVO_CHANGE(us_per_s2) \
    NW_AT_MOST(NW_FASTEST, (us_per_s2) * 2UL * NW_PARTS / (NW_SERVO_RATE * NW_SERVO_RATE))
#define NW_SERVO_SILENCE(ms) NW_AT_MOST(65535UL, (ms) * NW_SERVO_RATE / 1000UL)
#define NW_STEPPER_SPEED(steps_per_s) NW_AT_MOST(NW_FASTEST, (steps_per_s) * 1UL * NW_PARTS / NW_STEPPER_RATE)
#define NW_STEPPER_CHANGE(steps_per_s2) \
    NW_AT_MOST(NW_FASTEST, (steps_per_s2) * 1UL * NW_PARTS / (NW_STEPPER_RATE * NW_STEPPER_RATE))
#define NW_STEPPER_SILENCE(ms) NW_AT_MOST(65535UL, (ms) * NW_STEPPER_RATE / 1000UL)

/* What to do when no value comes for the time of silence. */
enum nw_loss { NW_RELAX, NW_PARK };

/* Where the first pulse after a start is. Nobody knows where an unpowered servo stands (docs/firmware.md). */
enum nw_start { NW_START_AT_PARK, NW_START_AT_COMMAND };

enum nw_state { NW_RELAXED, NW_MOVING, NW_STILL, NW_HOMING };

/* The calibrated table: the command for a raw value. */
typedef uint16_t (*nw_table)(int32_t raw);

/* What a needle is set to. Commands count in timer ticks of 0.5 us, or in steps from home. */
struct nw_setup {
    nw_table table;         /* NULL: commands only */
    int32_t raw_low;        /* raw values the table is made for; others are held to them */
    int32_t raw_high;
    uint16_t low, high;     /* limits; nothing outside them is ever put out */
    uint16_t park;          /* held to the limits */
    uint16_t speed;         /* most parts a tick, up to NW_FASTEST; 0: no limit (servos only) */
    uint16_t change;        /* most change of speed a tick; 0: no limit */
    uint16_t silence_ticks; /* time without a value after which the needle relaxes or parks; 0: never */
    uint8_t loss;           /* enum nw_loss */
    uint8_t start;          /* enum nw_start */
    uint8_t hold_ticks;     /* how long the first pulse, or current, stands still before the needle goes on */
    uint16_t home_run;      /* steppers: steps that surely reach the stop; 0: a servo */
    uint16_t home_speed;    /* most parts a tick on the way to the stop */
};

struct nw_needle {
    const struct nw_setup *setup;
    int32_t position; /* parts */
    int32_t target;   /* parts */
    int16_t speed;    /* parts a tick, with its sign */
    int16_t moved;    /* what the last tick added to the position of a stepper */
    int32_t low;      /* the limits, parts */
    int32_t high;
    uint16_t most;    /* fastest, parts a tick */
    uint16_t change;  /* most change of speed a tick */
    uint32_t rest;    /* what of the braking bound depends on change alone */
    uint32_t far;     /* parts from which any speed can still be stopped */
    uint32_t far_moving, far_homing;
    uint16_t silent;  /* ticks since the last value */
    uint16_t wanted;  /* last command taken */
    uint8_t holding;  /* ticks left of standing still */
    uint8_t state;    /* enum nw_state */
    bool placed;      /* the position means something */
    bool homed;
    bool lost;        /* silence has been acted upon */
};

/* Makes a needle ready. Nothing is put out before the first value. The setup must stay where it is. */
void nw_begin(struct nw_needle *needle, const struct nw_setup *setup);

/* Takes a raw value through the table, held to the limits. */
void nw_raw(struct nw_needle *needle, int32_t raw);

/* Takes a command. Returns false, and does nothing, when it is outside the limits. */
bool nw_command(struct nw_needle *needle, uint16_t command);

/* No more pulses or current; the needle stays where friction keeps it. */
void nw_relax(struct nw_needle *needle);

/* Drives a stepper into its stop and calls that 0; values that come meanwhile are followed afterwards. */
void nw_home(struct nw_needle *needle);

/* One step of time. */
void nw_tick(struct nw_needle *needle);

/* Looks at the limits again after the setup was changed; relaxes a needle that stands outside. */
void nw_limits_changed(struct nw_needle *needle);

/* What the movement is to be sent now: a pulse width or a step count. Only meaningful unless relaxed. */
uint16_t nw_output(const struct nw_needle *needle);

static inline enum nw_state nw_state(const struct nw_needle *needle)
{
    return (enum nw_state)needle->state;
}

#endif
