/*
 * The bench program: a board that obeys docs/line-protocol.md, for taking readings and trying tables.
 *
 * Portable. The port calls bench_byte() with what comes in, bench_servo_tick() every 20 ms and
 * bench_stepper_tick() every 4 ms; the program puts pulses, steps and answers out through nw_pulses.h,
 * nw_stepper.h and nw_serial.h.
 */
#ifndef BENCH_H
#define BENCH_H

#include <stdint.h>

#include "bench_line.h"
#include "bench_store.h"
#include "bench_table.h"
#include "nw_needle.h"

/* A table on its way into a slot. */
struct bench_upload {
    uint8_t slot;
    uint16_t length; /* 0: none is under way */
    uint16_t received;
};

struct bench_channel {
    struct nw_setup setup;
    struct nw_needle needle;
    struct bench_table table;
    struct bench_course course;
    uint16_t last_command; /* since the start; 0: none */
};

/* Everything the verbs work on. */
struct bench {
    struct bench_settings settings;
    struct bench_channel channels[BENCH_CHANNELS];
    struct bench_upload uploads[BENCH_CHANNELS];
    uint16_t counters[6]; /* good, bad, overlong, repeated, refused, lost */
    bool watching;
    uint32_t silent_ms;
    bool greeted;
    bool answered; /* there is a last answer */
    uint16_t last_sequence;
    uint16_t last_crc;
};

enum bench_counter { BENCH_COUNT_GOOD, BENCH_COUNT_BAD, BENCH_COUNT_LONG, BENCH_COUNT_REPEATED,
                     BENCH_COUNT_REFUSED, BENCH_COUNT_LOST };

extern struct bench bench;

/* Reads what is stored; all channels relaxed. */
void bench_begin(void);

void bench_byte(uint8_t byte);
void bench_servo_tick(void);
void bench_stepper_tick(void);

/* For the verbs. */
bool bench_is_servo(uint8_t channel);
void bench_limits_range(uint8_t channel, uint16_t *least, uint16_t *most);
void bench_apply_settings(uint8_t channel);
void bench_send(uint8_t channel, uint16_t command);
void bench_relax(uint8_t channel);
void bench_count(enum bench_counter counter);

/* Carries out a request, words after the sequence number, and completes the answer; false: refused. */
bool bench_carry_out(const char *const *words, uint8_t count, struct bench_answer *answer);

#endif
