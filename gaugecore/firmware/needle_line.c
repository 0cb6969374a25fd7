/* See needle_line.h. */
#include "needle_line.h"

/* 2147483647, the largest number there is room for, without and with its last digit */
#define LARGEST_TENS 214748364UL
#define LARGEST_ONES 7u

static void begin_number(struct needle_line *line)
{
    line->digits = 0u;
    line->number = 0u;
    line->negative = false;
}

static void take_digit(struct needle_line *line, uint8_t digit)
{
    if ((line->number > LARGEST_TENS) || ((line->number == LARGEST_TENS) && (digit > LARGEST_ONES))) {
        line->bad = true;
    } else {
        line->number = line->number * 10u + digit;
        line->digits++;
    }
}

/* A number is complete when it has a digit and there is room for it. */
static void end_number(struct needle_line *line)
{
    if ((line->digits == 0u) || (line->count == NEEDLE_MOST_VALUES)) {
        line->bad = true;
    } else {
        line->values[line->count] = line->negative ? -(int32_t)line->number : (int32_t)line->number;
        line->count++;
    }
    begin_number(line);
}

uint8_t needle_line_take(struct needle_line *line, uint8_t byte)
{
    uint8_t count = 0u;

    if ((byte >= (uint8_t)'0') && (byte <= (uint8_t)'9')) {
        if (!line->bad) {
            take_digit(line, (uint8_t)(byte - (uint8_t)'0'));
        }
    } else if ((byte == (uint8_t)'-') && (line->digits == 0u) && !line->negative) {
        line->negative = true;
    } else if (byte == (uint8_t)' ') {
        end_number(line);
    } else if (byte == (uint8_t)'\r') {
        /* some programs end their lines with two bytes */
    } else if (byte == (uint8_t)'\n') {
        end_number(line);
        count = line->bad ? 0u : line->count;
        line->count = 0u;
        line->bad = false;
    } else {
        line->bad = true;
    }
    return count;
}
