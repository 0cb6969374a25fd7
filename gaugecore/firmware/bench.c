/* See bench.h. */
#include "bench.h"

#include <stddef.h>
#include <string.h>

#include "nw_pulses.h"
#include "nw_serial.h"
#include "nw_stepper.h"

#define SERVO_TICK_MS 20u

struct bench bench;

static struct bench_line line;
static struct bench_answer answer;

bool bench_is_servo(uint8_t channel)
{
    return channel < NW_SERVOS;
}

void bench_limits_range(uint8_t channel, uint16_t *least, uint16_t *most)
{
    *least = bench_is_servo(channel) ? NW_LEAST_TICKS : 0u;
    *most = bench_is_servo(channel) ? NW_MOST_TICKS : BENCH_STEPPER_MOST;
}

static void factory_settings(void)
{
    uint8_t i;

    bench.settings.watchdog_ms = BENCH_WATCHDOG_MS;
    for (i = 0u; i < BENCH_CHANNELS; i++) {
        struct bench_channel_settings *const own = &bench.settings.channels[i];
        own->low = bench_is_servo(i) ? BENCH_SERVO_LOW : 0u;
        own->high = bench_is_servo(i) ? BENCH_SERVO_HIGH : 0u;
        own->park = own->low;
        own->loss = (uint8_t)NW_RELAX;
    }
}

void bench_apply_settings(uint8_t channel)
{
    bench.channels[channel].setup.low = bench.settings.channels[channel].low;
    bench.channels[channel].setup.high = bench.settings.channels[channel].high;
}

static void begin_channel(uint8_t i)
{
    struct bench_channel *const channel = &bench.channels[i];
    const bool servo = bench_is_servo(i);

    channel->setup.table = NULL;
    channel->setup.speed = servo ? BENCH_SERVO_SPEED : BENCH_STEPPER_SPEED;
    channel->setup.change = servo ? BENCH_SERVO_CHANGE : BENCH_STEPPER_CHANGE;
    channel->setup.start = (uint8_t)NW_START_AT_COMMAND;
    channel->setup.home_run = servo ? 0u : BENCH_HOME_RUN;
    channel->setup.home_speed = BENCH_HOME_SPEED;
    bench_apply_settings(i);
    nw_begin(&channel->needle, &channel->setup);
    channel->table = bench_slot_find(i);
    if ((channel->table.slot != BENCH_NO_SLOT) && !bench_table_is_sound(i, &channel->table)) {
        channel->table.slot = BENCH_NO_SLOT;
    }
}

void bench_begin(void)
{
    uint8_t i;

    memset(&bench, 0, sizeof bench);
    memset(&line, 0, sizeof line);
    factory_settings();
    (void)bench_store_load(&bench.settings);
    for (i = 0u; i < BENCH_CHANNELS; i++) {
        begin_channel(i);
    }
}

void bench_count(enum bench_counter counter)
{
    if (bench.counters[counter] < 0xFFFFu) {
        bench.counters[counter]++;
    }
}

void bench_send(uint8_t channel, uint16_t command)
{
    if (nw_command(&bench.channels[channel].needle, command)) {
        bench.channels[channel].last_command = command;
    }
}

void bench_relax(uint8_t channel)
{
    nw_relax(&bench.channels[channel].needle);
}

static uint16_t held(const struct bench_channel_settings *own, uint16_t command)
{
    if (command > own->high) {
        command = own->high;
    }
    return (command < own->low) ? own->low : command;
}

/* The traffic stopped: every channel that is driven relaxes or parks, once. */
static void lose(void)
{
    bool any = false;
    uint8_t i;

    for (i = 0u; i < BENCH_CHANNELS; i++) {
        const struct bench_channel_settings *const own = &bench.settings.channels[i];
        if (nw_state(&bench.channels[i].needle) == NW_RELAXED) {
            continue;
        }
        any = true;
        if (own->loss == (uint8_t)NW_PARK) {
            bench_send(i, held(own, own->park));
        } else {
            bench_relax(i);
        }
    }
    bench.watching = false;
    if (any) {
        bench_count(BENCH_COUNT_LOST);
    }
}

void bench_servo_tick(void)
{
    uint8_t i;

    if (bench.watching) {
        bench.silent_ms += SERVO_TICK_MS;
        if (bench.silent_ms > bench.settings.watchdog_ms) {
            lose();
        }
    }
    for (i = 0u; i < NW_SERVOS; i++) {
        struct nw_needle *const needle = &bench.channels[i].needle;
        nw_tick(needle);
        nw_pulses_set(i, (nw_state(needle) == NW_RELAXED) ? 0u : nw_output(needle));
    }
}

void bench_stepper_tick(void)
{
#if NW_STEPPERS > 0
    struct nw_needle *const needle = &bench.channels[NW_SERVOS].needle;

    nw_tick(needle);
    nw_stepper_move(needle->moved, nw_state(needle) != NW_RELAXED);
#endif
}

/* Whether a request is the last one once more. */
static bool is_repeat(uint16_t sequence)
{
    return bench.answered && (sequence == bench.last_sequence) && (line.crc == bench.last_crc);
}

/* Whether a request may come now: a greeting, anything before it, the next in order, or a repeat. */
static bool is_in_order(uint16_t sequence, bool greeting)
{
    const uint16_t next = (bench.last_sequence == 0xFFFFu) ? 1u : (uint16_t)(bench.last_sequence + 1u);

    return greeting || !bench.greeted || (sequence == next) || is_repeat(sequence);
}

/* Carries out a good line, unless it is the last one once more; puts out its answer. */
static void take_request(void)
{
    const char *words[BENCH_MOST_WORDS];
    const uint8_t count = bench_words(line.bytes, words);
    const bool greeting = (count >= 2u) && (strcmp(words[1], "hello") == 0);
    uint16_t sequence;

    if ((count < 2u) || !bench_number(words[0], &sequence) || (sequence == 0u)
        || !is_in_order(sequence, greeting)) {
        bench_count(BENCH_COUNT_BAD);
        return;
    }
    bench_count(BENCH_COUNT_GOOD);
    bench.silent_ms = 0u;
    if (is_repeat(sequence) && !greeting) {
        bench_count(BENCH_COUNT_REPEATED);
    } else {
        bench_answer_begin(&answer, sequence);
        if (!bench_carry_out(&words[1], (uint8_t)(count - 1u), &answer)) {
            bench_count(BENCH_COUNT_REFUSED);
        }
        bench_answer_end(&answer);
        bench.answered = true;
        bench.last_sequence = sequence;
        bench.last_crc = line.crc;
    }
    nw_serial_write(answer.bytes, answer.length);
}

void bench_byte(uint8_t byte)
{
    switch (bench_line_take(&line, byte)) {
    case BENCH_GOOD:
        take_request();
        break;
    case BENCH_BAD:
        bench_count(BENCH_COUNT_BAD);
        break;
    case BENCH_LONG:
        bench_count(BENCH_COUNT_LONG);
        break;
    case BENCH_NOTHING:
    default:
        break;
    }
}
