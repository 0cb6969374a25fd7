/*
 * What the small program reads: lines of whole numbers, one for each needle, a space between, a line feed at
 * the end; "12000 -40" moves two needles. A line that is anything else is left out as a whole.
 */
#ifndef NEEDLE_LINE_H
#define NEEDLE_LINE_H

#include <stdbool.h>
#include <stdint.h>

#define NEEDLE_MOST_VALUES 8u

/* All zero at the start. */
struct needle_line {
    int32_t values[NEEDLE_MOST_VALUES];
    uint8_t count;    /* whole numbers so far */
    uint8_t digits;   /* of the number under way */
    uint32_t number;
    bool negative;
    bool bad;
};

/* Takes a byte; returns how many values a line had that is now complete and good, else 0. */
uint8_t needle_line_take(struct needle_line *line, uint8_t byte);

#endif
