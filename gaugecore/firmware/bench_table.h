/* A table in a slot, format 1 of docs/line-protocol.md: knots (raw value, command), one branch or two. */
#ifndef BENCH_TABLE_H
#define BENCH_TABLE_H

#include <stdbool.h>
#include <stdint.h>

#include "bench_store.h"

/* Which way the raw value of a channel goes. */
struct bench_course {
    uint16_t raw;
    uint16_t furthest; /* that way; it must turn back from here by more than the table's hysteresis */
    bool started;
    bool falling;
};

/* Whether the bytes of a slot are a table. */
bool bench_table_is_sound(uint8_t channel, const struct bench_table *table);

/* The course after one more raw value through a table. */
struct bench_course bench_course_after(uint8_t channel, const struct bench_table *table,
                                       const struct bench_course *course, uint16_t raw);

/* The command for the raw value of a course. */
uint16_t bench_table_command(uint8_t channel, const struct bench_table *table,
                             const struct bench_course *course);

#endif
