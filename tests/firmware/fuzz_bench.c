/*
 * The bench program under coverage-guided fuzzing, for tests/firmware/test_fuzz.py.
 *
 * An even first byte: what follows is the wire. An odd one: each line gets its asterisk and CRC here, so that the
 * verbs are reached; a line that is T lets 1 s pass, one that is P cuts the power. Whatever comes,
 *   - no command taken and no pulse leaves the limits in force, and these never leave what a servo may be sent;
 *   - limits change by a good line with the word limits only, or by the power;
 *   - nothing at all changes by a byte that does not end a good line. The CRC here is written anew, bit by bit.
 */
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "nw_eeprom.h"
#include "nw_pulses.h"
#include "nw_serial.h"
#include "nw_stepper.h"

#define FRAMES_A_SECOND 50u
#define BYTES_PER_FRAME 64u
#define LONGEST 78u

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static uint8_t memory[BENCH_EEPROM_BYTES];
static char heard[LONGEST + 1u];
static size_t heard_count;

static void demand(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "broken: %s, after \"%.*s\"\n", what, (int)heard_count, heard);
        abort();
    }
}

uint8_t nw_eeprom_read(uint16_t address)
{
    return memory[address];
}

void nw_eeprom_write(uint16_t address, uint8_t byte)
{
    memory[address] = byte;
}

void nw_pulses_set(uint8_t channel, uint16_t ticks)
{
    const struct bench_channel_settings *const own = &bench.settings.channels[channel];

    demand((ticks == 0u) || ((ticks >= own->low) && (ticks <= own->high)), "a pulse outside the limits");
    demand((ticks == 0u) || ((ticks >= NW_LEAST_TICKS) && (ticks <= NW_MOST_TICKS)), "a pulse no servo may get");
}

void nw_stepper_move(int16_t parts, bool energised)
{
    (void)parts;
    (void)energised;
}

void nw_serial_write(const char *bytes, uint8_t count)
{
    demand((count > 0u) && (count <= LONGEST) && (bytes[count - 1u] == '\n'), "an answer that is no line");
}

static unsigned crc16(const char *bytes, size_t count)
{
    unsigned crc = 0xFFFFu;

    for (size_t i = 0u; i < count; i++) {
        for (int bit = 7; bit >= 0; bit--) {
            const unsigned in = ((unsigned char)bytes[i] >> bit) & 1u;
            const unsigned out = (crc >> 15) & 1u;
            crc = (crc << 1) & 0xFFFFu;
            if (in != out) {
                crc ^= 0x1021u;
            }
        }
    }
    return crc;
}

/* Whether the line heard ends in the CRC of what stands before its asterisk. */
static bool is_good(void)
{
    char wanted[8];

    if ((heard_count < 6u) || (heard_count >= sizeof heard)) {
        return false;
    }
    snprintf(wanted, sizeof wanted, "*%04X", crc16(heard, heard_count - 5u));
    return memcmp(&heard[heard_count - 5u], wanted, 5u) == 0;
}

static bool says_limits(void)
{
    heard[heard_count] = '\0';
    return (memchr(heard, '\0', heard_count) == NULL) && (strstr(heard, " limits ") != NULL);
}

static void check_limits(const struct bench_settings *before)
{
    for (uint8_t i = 0u; i < NW_SERVOS; i++) {
        const struct bench_channel_settings *const own = &bench.settings.channels[i];
        const struct bench_channel_settings *const old = &before->channels[i];
        const bool same = (own->low == old->low) && (own->high == old->high);
        demand((own->low >= NW_LEAST_TICKS) && (own->high <= NW_MOST_TICKS) && (own->low <= own->high),
               "limits no servo may have");
        demand(same || says_limits(), "limits changed unasked");
    }
}

/* A command taken lies inside the limits, whatever the runtime would make of it afterwards. */
static void check_commands(const struct bench_channel *before)
{
    for (uint8_t i = 0u; i < BENCH_CHANNELS; i++) {
        const struct bench_channel_settings *const own = &bench.settings.channels[i];
        const uint16_t command = bench.channels[i].last_command;
        demand((command == before[i].last_command) || ((command >= own->low) && (command <= own->high)),
               "a command outside the limits was taken");
    }
}

static void pass_frames(unsigned count)
{
    while (count-- > 0u) {
        bench_servo_tick();
        for (int i = 0; i < 5; i++) {
            bench_stepper_tick();
        }
    }
}

static void take(uint8_t byte)
{
    const struct bench_settings settings = bench.settings;
    struct bench_channel channels[BENCH_CHANNELS];
    const bool ends = (byte == (uint8_t)'\n');
    const bool good = ends && is_good();

    memcpy(channels, bench.channels, sizeof channels);
    bench_byte(byte);
    if (good) {
        check_limits(&settings);
        check_commands(channels);
    } else {
        demand(memcmp(&settings, &bench.settings, sizeof settings) == 0, "a bad line changed a setting");
        demand(memcmp(channels, bench.channels, sizeof channels) == 0, "a bad line moved a needle");
    }
    if (ends) {
        heard_count = 0u;
    } else if (heard_count < sizeof heard) {
        heard[heard_count] = (char)byte;
        heard_count += (heard_count < LONGEST) ? 1u : 0u;
        heard_count = (heard_count == LONGEST) ? sizeof heard : heard_count;
    } else {
        /* too long to be good */
    }
}

static void take_dressed(const uint8_t *body, size_t count)
{
    char end[8];

    if ((count == 1u) && (body[0] == (uint8_t)'T')) {
        pass_frames(FRAMES_A_SECOND);
        return;
    }
    if ((count == 1u) && (body[0] == (uint8_t)'P')) {
        const struct bench_settings before = bench.settings;
        bench_begin();
        heard_count = 0u;
        check_limits(&before);
        return;
    }
    for (size_t i = 0u; i < count; i++) {
        take(body[i]);
    }
    snprintf(end, sizeof end, "*%04X\n", crc16((const char *)body, count));
    for (size_t i = 0u; i < 6u; i++) {
        take((uint8_t)end[i]);
    }
    pass_frames(1u);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    size_t start = 1u;

    if (size == 0u) {
        return 0;
    }
    memset(memory, 0xFF, sizeof memory);
    heard_count = 0u;
    bench_begin();
    for (size_t i = 1u; i < size; i++) {
        if ((data[0] & 1u) == 0u) {
            take(data[i]);
            if (i % BYTES_PER_FRAME == 0u) {
                pass_frames(1u);
            }
        } else if (data[i] == (uint8_t)'\n') {
            take_dressed(&data[start], i - start);
            start = i + 1u;
        }
    }
    pass_frames(FRAMES_A_SECOND);
    return 0;
}
