/* See bench_line.h. */
#include "bench_line.h"

#include "nw_crc.h"

#define DIGITS 4u

static bool is_word_byte(char c)
{
    return ((c >= 'A') && (c <= 'Z')) || ((c >= 'a') && (c <= 'z')) || ((c >= '0') && (c <= '9'))
        || (c == '.') || (c == '-');
}

/* The value of an upper-case hex digit, 16 when it is none. */
static uint8_t hex_value(char c)
{
    if ((c >= '0') && (c <= '9')) {
        return (uint8_t)(c - '0');
    }
    return ((c >= 'A') && (c <= 'F')) ? (uint8_t)(c - 'A' + 10) : 16u;
}

static char hex_digit(uint8_t value)
{
    return (char)((value < 10u) ? ('0' + value) : ('A' + value - 10));
}

/* Words of the allowed characters, one space between, none at the ends. */
static bool is_body(const char *body, uint8_t length)
{
    bool in_word = false;
    uint8_t i;

    if ((length == 0u) || (length > BENCH_LONGEST_BODY)) {
        return false;
    }
    for (i = 0u; i < length; i++) {
        if (is_word_byte(body[i])) {
            in_word = true;
        } else if ((body[i] == ' ') && in_word) {
            in_word = false;
        } else {
            return false;
        }
    }
    return in_word;
}

static uint16_t crc_of(const char *body, uint8_t length)
{
    uint16_t crc = NW_CRC16_START;
    uint8_t i;

    for (i = 0u; i < length; i++) {
        crc = nw_crc16(crc, (uint8_t)body[i]);
    }
    return crc;
}

static bool is_good(struct bench_line *line)
{
    const uint8_t body = (uint8_t)(line->length - (DIGITS + 1u));
    uint16_t given = 0u;
    uint8_t i;

    if ((line->length < DIGITS + 2u) || (line->bytes[body] != '*') || !is_body(line->bytes, body)) {
        return false;
    }
    for (i = 0u; i < DIGITS; i++) {
        const uint8_t value = hex_value(line->bytes[body + 1u + i]);
        if (value > 15u) {
            return false;
        }
        given = (uint16_t)((uint16_t)(given << 4) | value);
    }
    line->crc = crc_of(line->bytes, body);
    line->bytes[body] = '\0';
    return line->crc == given;
}

enum bench_heard bench_line_take(struct bench_line *line, uint8_t byte)
{
    enum bench_heard heard = BENCH_NOTHING;

    if (byte == (uint8_t)'\n') {
        if (!line->skipping && (line->length > 0u)) {
            heard = is_good(line) ? BENCH_GOOD : BENCH_BAD;
        }
        line->length = 0u;
        line->skipping = false;
    } else if (!line->skipping) {
        if (line->length == BENCH_LONGEST_LINE - 1u) {
            line->skipping = true;
            heard = BENCH_LONG;
        } else {
            line->bytes[line->length] = (char)byte;
            line->length++;
        }
    } else {
        /* the rest of an overlong line belongs to it */
    }
    return heard;
}

uint8_t bench_words(char *body, const char *words[BENCH_MOST_WORDS])
{
    uint8_t count = 0u;

    while (count < BENCH_MOST_WORDS) {
        words[count] = body;
        count++;
        while ((*body != ' ') && (*body != '\0')) {
            body++;
        }
        if (*body == '\0') {
            break;
        }
        *body = '\0';
        body++;
    }
    return count;
}

bool bench_number(const char *word, uint16_t *number)
{
    uint32_t value = 0u;
    uint8_t digits = 0u;

    if ((word[0] == '0') && (word[1] != '\0')) {
        return false;
    }
    for (; *word != '\0'; word++) {
        digits++;
        if ((*word < '0') || (*word > '9') || (digits > 5u)) {
            return false;
        }
        value = value * 10u + (uint32_t)(*word - '0');
    }
    *number = (uint16_t)value;
    return (digits > 0u) && (value <= 0xFFFFu);
}

uint8_t bench_hex(const char *word, uint8_t *bytes, uint8_t most)
{
    uint8_t count = 0u;

    while (*word != '\0') {
        const uint8_t high = hex_value(word[0]);
        const uint8_t low = (word[1] == '\0') ? 16u : hex_value(word[1]);
        if ((high > 15u) || (low > 15u) || (count == most)) {
            return 0u;
        }
        bytes[count] = (uint8_t)((uint8_t)(high << 4) | low);
        count++;
        word += 2;
    }
    return count;
}

static void put(struct bench_answer *answer, char c)
{
    if (answer->length < BENCH_LONGEST_LINE) {
        answer->bytes[answer->length] = c;
        answer->length++;
    }
}

/* Without the space that goes before a word. */
static void put_digits(struct bench_answer *answer, uint16_t number)
{
    char digits[5];
    uint8_t count = 0u;

    do {
        digits[count] = (char)('0' + number % 10u);
        number = (uint16_t)(number / 10u);
        count++;
    } while (number > 0u);
    while (count > 0u) {
        count--;
        put(answer, digits[count]);
    }
}

static void put_hex16(struct bench_answer *answer, uint16_t value)
{
    put(answer, hex_digit((uint8_t)(value >> 12)));
    put(answer, hex_digit((uint8_t)((value >> 8) & 0xFu)));
    put(answer, hex_digit((uint8_t)((value >> 4) & 0xFu)));
    put(answer, hex_digit((uint8_t)(value & 0xFu)));
}

void bench_answer_begin(struct bench_answer *answer, uint16_t sequence)
{
    answer->length = 0u;
    put_digits(answer, sequence);
}

void bench_put_word(struct bench_answer *answer, const char *word)
{
    put(answer, ' ');
    for (; *word != '\0'; word++) {
        put(answer, *word);
    }
}

void bench_put_number(struct bench_answer *answer, uint16_t number)
{
    put(answer, ' ');
    put_digits(answer, number);
}

void bench_put_crc32(struct bench_answer *answer, uint32_t crc)
{
    put(answer, ' ');
    put_hex16(answer, (uint16_t)(crc >> 16));
    put_hex16(answer, (uint16_t)(crc & 0xFFFFu));
}

void bench_answer_end(struct bench_answer *answer)
{
    const uint16_t crc = crc_of(answer->bytes, answer->length);

    put(answer, '*');
    put_hex16(answer, crc);
    put(answer, '\n');
}
