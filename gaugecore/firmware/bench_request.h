/* A request as the verbs see it, and the ways to answer it. Each returns whether it was carried out. */
#ifndef BENCH_REQUEST_H
#define BENCH_REQUEST_H

#include "bench.h"

#define BENCH_MOST_VALUES 8u

/* Words after the verb, and where the answer goes. */
struct bench_request {
    const char *const *words;
    uint8_t count;
    struct bench_answer *answer;
    uint16_t numbers[BENCH_MOST_VALUES + 1u]; /* as far as they were asked for */
};

bool bench_refuse(struct bench_request *r, const char *reason);
bool bench_refuse_with_range(struct bench_request *r, const char *reason, uint16_t low, uint16_t high);
bool bench_agree(struct bench_request *r);

/* Reads the first words as numbers. */
bool bench_read_numbers(struct bench_request *r, uint8_t count);

/* Exactly `count` words, of which the first `numbers` are numbers, the first of all a channel. */
bool bench_read_channel(struct bench_request *r, uint8_t count, uint8_t numbers);

/* The verbs of uploads: see bench_upload.c. */
bool bench_table(struct bench_request *r);
bool bench_begin_upload(struct bench_request *r);
bool bench_block(struct bench_request *r);
bool bench_commit(struct bench_request *r);

#endif
