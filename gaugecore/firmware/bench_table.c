/* See bench_table.h. Read knot by knot where it lies: there is no room for a copy, and no need. */
#include "bench_table.h"

#define FORMAT 1u
#define HYSTERESIS 3u /* where it lies in the head */
#define HEAD 4u
#define KNOT 4u

static bool branch_rises(uint8_t channel, uint8_t slot, uint16_t at, uint8_t knots)
{
    uint16_t before = 0u;
    uint8_t i;

    for (i = 0u; i < knots; i++) {
        const uint16_t raw = bench_slot_word(channel, slot, at);
        if ((i > 0u) && (raw <= before)) {
            return false;
        }
        before = raw;
        at = (uint16_t)(at + KNOT);
    }
    return true;
}

bool bench_table_is_sound(uint8_t channel, const struct bench_table *table)
{
    const uint8_t slot = table->slot;
    uint8_t first, second;

    if ((table->length < HEAD) || (bench_slot_byte(channel, slot, 0u) != FORMAT)) {
        return false;
    }
    first = bench_slot_byte(channel, slot, 1u);
    second = bench_slot_byte(channel, slot, 2u);
    return (first >= 2u) && (second != 1u)
        && (table->length == HEAD + KNOT * ((uint16_t)first + second))
        && branch_rises(channel, slot, HEAD, first)
        && branch_rises(channel, slot, (uint16_t)(HEAD + KNOT * (uint16_t)first), second);
}

struct bench_course bench_course_after(uint8_t channel, const struct bench_table *table,
                                       const struct bench_course *course, uint16_t raw)
{
    struct bench_course after = {raw, raw, true, course->falling};
    uint16_t back;

    if (!course->started) {
        after.falling = false;
    } else if (course->falling ? (raw > course->furthest) : (raw < course->furthest)) {
        back = course->falling ? (uint16_t)(raw - course->furthest) : (uint16_t)(course->furthest - raw);
        if (back > bench_slot_byte(channel, table->slot, HYSTERESIS)) {
            after.falling = !course->falling;
        } else {
            after.furthest = course->furthest;
        }
    } else {
        /* further on the same way */
    }
    return after;
}

/* Between two knots, in unsigned whole numbers that cannot overflow. */
static uint16_t between(uint16_t raw, uint16_t raw0, uint16_t command0, uint16_t raw1, uint16_t command1)
{
    const uint32_t width = (uint32_t)raw1 - raw0;
    const uint32_t rise = (command1 > command0) ? (uint32_t)command1 - command0 : (uint32_t)command0 - command1;
    const uint32_t part = ((uint32_t)(raw - raw0) * rise + width / 2u) / width;

    return (uint16_t)((command1 > command0) ? command0 + part : command0 - part);
}

uint16_t bench_table_command(uint8_t channel, const struct bench_table *table,
                             const struct bench_course *course)
{
    const uint8_t slot = table->slot;
    uint8_t knots = bench_slot_byte(channel, slot, 1u);
    const uint8_t second = bench_slot_byte(channel, slot, 2u);
    uint16_t at = HEAD;
    uint16_t raw0, command0;

    if (course->falling && (second != 0u)) {
        at = (uint16_t)(at + KNOT * (uint16_t)knots);
        knots = second;
    }
    raw0 = bench_slot_word(channel, slot, at);
    command0 = bench_slot_word(channel, slot, (uint16_t)(at + 2u));
    if (course->raw <= raw0) {
        return command0;
    }
    for (knots--; knots > 0u; knots--) {
        uint16_t raw1, command1;
        at = (uint16_t)(at + KNOT);
        raw1 = bench_slot_word(channel, slot, at);
        command1 = bench_slot_word(channel, slot, (uint16_t)(at + 2u));
        if (course->raw < raw1) {
            return between(course->raw, raw0, command0, raw1, command1);
        }
        raw0 = raw1;
        command0 = command1;
    }
    return command0;
}
