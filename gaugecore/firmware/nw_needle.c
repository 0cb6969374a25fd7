/* See nw_needle.h. */
#include "nw_needle.h"

#include <stddef.h>

/*
 * Braking. With speed s and a change of speed of at most c a tick, the needle needs s to stop when s <= c, and
 * no more than (s*s + s*c + c*c/4) / 2c otherwise. Whoever keeps to this bound now can keep to it at the next
 * tick by slowing down by c, so the needle arrives with nothing left over (docs/firmware.md has the proof).
 */
static uint32_t product(uint16_t one, uint16_t other)
{
    return (uint32_t)one * other;
}

/* c*c/4, rounded up. */
static uint32_t rest_of_bound(uint16_t change)
{
    return (product(change, change) + 3u) >> 2;
}

static uint16_t held_speed(uint16_t speed)
{
    return (speed > NW_FASTEST) ? (uint16_t)NW_FASTEST : speed;
}

/* The distance from which any speed can be stopped. The only division; done once, in nw_begin(). */
static uint32_t far_enough(uint16_t speed, uint16_t change)
{
    if (change == 0u) {
        return 0u;
    }
    return (product(speed, (uint16_t)(speed + change)) + rest_of_bound(change)) / (2u * (uint32_t)change) + 1u;
}

/* The highest speed from low to high from which the needle can still stop; low if there is none. */
static uint16_t fastest_that_stops(const struct nw_needle *needle, uint16_t low, uint16_t high, uint32_t left)
{
    const uint16_t change = needle->change;
    uint32_t bound;

    if (left >= needle->far) {
        return high;
    }
    if (left <= change) {
        /* it stops there at the next tick */
        if (left >= high) {
            return high;
        }
        return (left > low) ? (uint16_t)left : low;
    }
    if (high <= change) {
        return high;
    }
    /* left < far keeps this inside 32 bits; more than 9/8 c is needed for any speed above c */
    bound = 2u * left * change;
    bound = (bound > needle->rest) ? bound - needle->rest : 0u;
    if (low < change) {
        low = change;
    }
    high++;
    while ((uint16_t)(high - low) > 1u) {
        const uint16_t middle = (uint16_t)(low + ((uint16_t)(high - low) >> 1));
        if (product(middle, (uint16_t)(middle + change)) <= bound) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

/* The next speed, where speeds count towards the target. */
static int16_t next_speed(const struct nw_needle *needle, int16_t speed, uint32_t left)
{
    const uint16_t change = needle->change;
    uint16_t low = 0u, high;

    if (change == 0u) {
        return (left < needle->most) ? (int16_t)left : (int16_t)needle->most;
    }
    if (speed < 0) {
        const uint16_t away = (uint16_t)-speed;
        if (away >= change) {
            return (int16_t)(speed + (int16_t)change); /* brake first */
        }
        high = (uint16_t)(change - away);
    } else {
        high = (uint16_t)((uint16_t)speed + change);
        if ((uint16_t)speed > change) {
            low = (uint16_t)((uint16_t)speed - change);
        }
    }
    if (high > needle->most) {
        high = needle->most;
    }
    return (int16_t)fastest_that_stops(needle, low, high, left);
}

/* Shifts by whole bytes and one bit are what an 8-bit processor does fast. */
static int32_t parts(uint16_t command)
{
    return (int32_t)(((uint32_t)command << 8) >> (8 - NW_PART_BITS));
}

static uint16_t held(const struct nw_setup *setup, uint16_t command)
{
    if (command > setup->high) {
        command = setup->high;
    }
    return (command < setup->low) ? setup->low : command;
}

/* The command nearest to the position. */
static uint16_t nearest(const struct nw_needle *needle)
{
    return (uint16_t)((((uint32_t)needle->position + (NW_PARTS >> 1)) << (8 - NW_PART_BITS)) >> 8);
}

/* Takes up the pace for homing, or for all else. */
static void set_pace(struct nw_needle *needle, bool homing)
{
    const struct nw_setup *const setup = needle->setup;

    needle->most = held_speed(homing ? setup->home_speed : setup->speed);
    needle->far = homing ? needle->far_homing : needle->far_moving;
}

static void stand(struct nw_needle *needle, uint16_t command)
{
    needle->position = parts(command);
    needle->target = needle->position;
    needle->speed = 0;
    needle->placed = true;
}

static void set_bounds(struct nw_needle *needle)
{
    const bool stepper = (needle->setup->home_run != 0u);

    needle->low = stepper ? 0 : parts(needle->setup->low); /* a stepper also passes between home and limits */
    needle->high = parts(needle->setup->high);
}

void nw_begin(struct nw_needle *needle, const struct nw_setup *setup)
{
    needle->setup = setup;
    needle->position = 0;
    needle->target = 0;
    needle->speed = 0;
    needle->moved = 0;
    needle->change = held_speed(setup->change);
    needle->rest = rest_of_bound(needle->change);
    needle->far_moving = far_enough(held_speed(setup->speed), needle->change);
    needle->far_homing = far_enough(held_speed(setup->home_speed), needle->change);
    set_pace(needle, false);
    set_bounds(needle);
    needle->silent = 0u;
    needle->wanted = 0u;
    needle->holding = 0u;
    needle->state = NW_RELAXED;
    needle->placed = false;
    needle->homed = (setup->home_run == 0u);
    needle->lost = false;
}

/* Goes to a command that is inside the limits. */
static void go(struct nw_needle *needle, uint16_t command)
{
    const struct nw_setup *const setup = needle->setup;

    needle->wanted = command;
    if (needle->state == NW_RELAXED) {
        needle->holding = setup->hold_ticks;
    }
    if (!needle->homed) {
        if (needle->state != NW_HOMING) {
            nw_home(needle);
            needle->wanted = command;
        }
        return;
    }
    if (!needle->placed) {
        stand(needle, (setup->start == (uint8_t)NW_START_AT_PARK) ? held(setup, setup->park) : command);
    }
    needle->target = parts(command);
    needle->state = ((needle->position == needle->target) && (needle->speed == 0)) ? NW_STILL : NW_MOVING;
}

static void note_life(struct nw_needle *needle)
{
    needle->silent = 0u;
    needle->lost = false;
}

void nw_raw(struct nw_needle *needle, int32_t raw)
{
    const struct nw_setup *const setup = needle->setup;

    if (setup->table != NULL) {
        if (raw > setup->raw_high) {
            raw = setup->raw_high;
        }
        if (raw < setup->raw_low) {
            raw = setup->raw_low;
        }
        note_life(needle);
        go(needle, held(setup, setup->table(raw)));
    }
}

bool nw_command(struct nw_needle *needle, uint16_t command)
{
    if (command != held(needle->setup, command)) {
        return false;
    }
    note_life(needle);
    go(needle, command);
    return true;
}

void nw_relax(struct nw_needle *needle)
{
    if (needle->state == NW_HOMING) {
        needle->placed = false; /* somewhere on the way to the stop: home again before the next move */
    }
    needle->state = NW_RELAXED;
    needle->target = needle->position;
    needle->speed = 0;
    needle->moved = 0;
}

void nw_home(struct nw_needle *needle)
{
    if (needle->setup->home_run != 0u) {
        stand(needle, needle->setup->home_run);
        needle->target = 0;
        needle->homed = false;
        needle->wanted = 0u;
        needle->state = NW_HOMING;
        set_pace(needle, true);
        note_life(needle);
    }
}

void nw_limits_changed(struct nw_needle *needle)
{
    const uint16_t output = nearest(needle);

    const bool outside = (output != held(needle->setup, output));

    set_bounds(needle);
    if (((needle->state == NW_MOVING) || (needle->state == NW_STILL))
        && (outside || (needle->wanted != held(needle->setup, needle->wanted)))) {
        nw_relax(needle);
    }
    if ((needle->setup->home_run == 0u) && outside) {
        needle->placed = false; /* where it stands may not be sent any more, so it cannot start from there */
    }
}

static void arrive(struct nw_needle *needle)
{
    if (needle->state == NW_HOMING) {
        const uint16_t wanted = needle->wanted;
        needle->homed = true;
        set_pace(needle, false);
        stand(needle, 0u);
        needle->state = NW_STILL;
        if (wanted != 0u) {
            go(needle, held(needle->setup, wanted));
        }
    } else {
        needle->state = NW_STILL;
    }
}

static void watch_silence(struct nw_needle *needle)
{
    const struct nw_setup *const setup = needle->setup;

    if ((setup->silence_ticks == 0u) || needle->lost || (needle->state == NW_RELAXED)) {
        return;
    }
    needle->silent++;
    if (needle->silent >= setup->silence_ticks) {
        needle->lost = true;
        if (setup->loss == (uint8_t)NW_PARK) {
            go(needle, held(setup, setup->park));
        } else {
            nw_relax(needle);
        }
    }
}

/* Nothing leads outward from limits and present position. */
static int32_t held_position(const struct nw_needle *needle, int32_t next)
{
    const int32_t now = needle->position;

    if ((next > needle->high) && (needle->state != NW_HOMING)) {
        if (now <= needle->high) {
            return needle->high;
        }
        return (next > now) ? now : next;
    }
    if (next < needle->low) {
        if (now >= needle->low) {
            return needle->low;
        }
        return (next < now) ? now : next;
    }
    return next;
}

static int32_t next_position(struct nw_needle *needle)
{
    const int32_t gap = needle->target - needle->position;

    if (needle->most == 0u) {
        needle->speed = 0;
        return needle->target;
    }
    if (gap < 0) {
        needle->speed = (int16_t)-next_speed(needle, (int16_t)-needle->speed, (uint32_t)-gap);
    } else {
        needle->speed = next_speed(needle, needle->speed, (uint32_t)gap);
    }
    return needle->position + needle->speed;
}

/* Whether it may stop at once. */
static bool is_slow(const struct nw_needle *needle)
{
    const uint16_t speed = (uint16_t)((needle->speed < 0) ? -needle->speed : needle->speed);

    return (needle->change == 0u) || (speed <= needle->change);
}

void nw_tick(struct nw_needle *needle)
{
    int32_t next;

    watch_silence(needle);
    needle->moved = 0;
    if ((needle->state == NW_RELAXED) || (needle->state == NW_STILL)) {
        return;
    }
    if (needle->holding > 0u) {
        needle->holding--;
        return;
    }
    next = held_position(needle, next_position(needle));
    needle->moved = (int16_t)(next - needle->position);
    needle->position = next;
    if ((next == needle->target) && is_slow(needle)) {
        needle->speed = 0;
        arrive(needle);
    }
}

uint16_t nw_output(const struct nw_needle *needle)
{
    const uint16_t command = nearest(needle);

    /* the last gate of a servo: whatever went wrong before, no other pulse leaves */
    return (needle->setup->home_run == 0u) ? held(needle->setup, command) : command;
}
