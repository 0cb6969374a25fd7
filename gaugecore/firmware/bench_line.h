/* Lines of docs/line-protocol.md: body*CCCC and a line feed. */
#ifndef BENCH_LINE_H
#define BENCH_LINE_H

#include <stdbool.h>
#include <stdint.h>

#define BENCH_LONGEST_LINE 78u
#define BENCH_LONGEST_BODY 72u
/* Sequence, verb, channel, eight values; one more, so that too many can be told. */
#define BENCH_MOST_WORDS 12u

enum bench_heard { BENCH_NOTHING, BENCH_GOOD, BENCH_BAD, BENCH_LONG };

/* What comes in, cut into lines. */
struct bench_line {
    char bytes[BENCH_LONGEST_LINE];
    uint8_t length;
    bool skipping;
    uint16_t crc; /* of the body that was good */
};

/* Takes a byte. After BENCH_GOOD, `bytes` is the body as a string, until the next byte is taken. */
enum bench_heard bench_line_take(struct bench_line *line, uint8_t byte);

/* Cuts a body into words in its place; returns how many, BENCH_MOST_WORDS when there are more. */
uint8_t bench_words(char *body, const char *words[BENCH_MOST_WORDS]);

/* A whole number as the protocol writes it, 0 to 65535; false when it is none. */
bool bench_number(const char *word, uint16_t *number);

/* Pairs of upper-case hex digits into bytes; returns how many, 0 when it is none or more than `most`. */
uint8_t bench_hex(const char *word, uint8_t *bytes, uint8_t most);

/* An answer under construction; it always fits. */
struct bench_answer {
    char bytes[BENCH_LONGEST_LINE];
    uint8_t length;
};

void bench_answer_begin(struct bench_answer *answer, uint16_t sequence);
void bench_put_word(struct bench_answer *answer, const char *word);
void bench_put_number(struct bench_answer *answer, uint16_t number);
void bench_put_crc32(struct bench_answer *answer, uint32_t crc);
void bench_answer_end(struct bench_answer *answer);

#endif
