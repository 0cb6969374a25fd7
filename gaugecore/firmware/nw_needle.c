/* See nw_needle.h. */
#include "nw_needle.h"

#include <stddef.h>

/*
 * Braking. With speed s and a change of speed of at most c a tick, the needle needs s to stop when s <= c, and
 * no more than (s*s + s*c + c*c/4) / 2c otherwise. Whoever keeps to this bound now can keep to it at the next
 * tick by slowing down by c, so the needle arrives with nothing left over (docs/firmware.md has the proof).
 */
static uint32_t braking_bound(uint32_t speed, uint32_t change)
{
    return speed * speed + speed * change + ((change * change + 3u) >> 2);
}

static uint16_t held_speed(uint16_t speed)
{
    return (speed > NW_FASTEST) ? (uint16_t)NW_FASTEST : speed;
}

/* The only division; done once, in nw_begin(). */
static uint32_t far_enough(uint16_t speed, uint16_t change)
{
    const uint32_t held_change = held_speed(change);

    return (change == 0u) ? 0u : braking_bound(held_speed(speed), held_change) / (2u * held_change) + 1u;
}

static bool can_stop(int32_t speed, uint32_t left, uint16_t change, uint32_t far)
{
    if ((uint32_t)speed <= change) {
        return (uint32_t)speed <= left;
    }
    if (left >= far) {
        return true;
    }
    /* left < far keeps the product inside 32 bits */
    return 2u * (uint32_t)change * left >= braking_bound((uint32_t)speed, change);
}

/* The highest next speed from which it can still stop at the target; speeds count towards the target. */
static int32_t next_speed(int32_t speed, uint32_t left, uint16_t most, uint16_t change, uint32_t far)
{
    int32_t low, high;

    if (change == 0u) {
        return (left < most) ? (int32_t)left : (int32_t)most;
    }
    high = speed + (int32_t)change;
    if (high > (int32_t)most) {
        high = (int32_t)most;
    }
    if ((high <= 0) || can_stop(high, left, change, far)) {
        return high;
    }
    low = speed - (int32_t)change;
    if (low < 0) {
        low = 0;
    }
    if (!can_stop(low, left, change, far)) {
        return low; /* the target came too near: brake, run past it, come back */
    }
    while (high - low > 1) {
        const int32_t middle = (low + high) >> 1;
        if (can_stop(middle, left, change, far)) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

static int32_t parts(uint16_t command)
{
    return (int32_t)command * NW_PARTS;
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
    return (uint16_t)(((uint32_t)needle->position + (NW_PARTS >> 1)) >> NW_PART_BITS);
}

static void stand(struct nw_needle *needle, uint16_t command)
{
    needle->position = parts(command);
    needle->target = needle->position;
    needle->speed = 0;
    needle->placed = true;
}

void nw_begin(struct nw_needle *needle, const struct nw_setup *setup)
{
    needle->setup = setup;
    needle->position = 0;
    needle->target = 0;
    needle->speed = 0;
    needle->moved = 0;
    needle->far[0] = far_enough(setup->speed, setup->change);
    needle->far[1] = far_enough(setup->home_speed, setup->change);
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
        note_life(needle);
    }
}

void nw_limits_changed(struct nw_needle *needle)
{
    const uint16_t output = nearest(needle);

    const bool outside = (output != held(needle->setup, output));

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

/* Nothing leads outward from limits and present position; a stepper also passes between home and limits. */
static int32_t held_position(const struct nw_needle *needle, int32_t position)
{
    const bool stepper = (needle->setup->home_run != 0u);
    int32_t low = stepper ? 0 : parts(needle->setup->low);
    int32_t high = parts((needle->state == NW_HOMING) ? needle->setup->home_run : needle->setup->high);

    if (stepper && (needle->position > high)) {
        high = needle->position;
    }
    if (position > high) {
        return high;
    }
    return (position < low) ? low : position;
}

static int32_t next_position(struct nw_needle *needle)
{
    const struct nw_setup *const setup = needle->setup;
    const uint8_t homing = (needle->state == NW_HOMING) ? 1u : 0u;
    const uint16_t most = held_speed((homing != 0u) ? setup->home_speed : setup->speed);
    const int32_t gap = needle->target - needle->position;
    const uint32_t left = (uint32_t)((gap < 0) ? -gap : gap);
    int32_t speed;

    if (most == 0u) {
        needle->speed = 0;
        return needle->target;
    }
    /* speeds count towards the target here */
    speed = (gap < 0) ? -(int32_t)needle->speed : (int32_t)needle->speed;
    speed = next_speed(speed, left, most, held_speed(setup->change), needle->far[homing]);
    needle->speed = (int16_t)((gap < 0) ? -speed : speed);
    return needle->position + needle->speed;
}

void nw_tick(struct nw_needle *needle)
{
    const int32_t change = held_speed(needle->setup->change);
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
    if ((next == needle->target)
        && ((change == 0) || ((needle->speed <= change) && (needle->speed >= -change)))) {
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
