/*
 * The bench program on this machine, sanitised, for tests/firmware/host_bench.py.
 *
 * Reads packets from standard input: a 32-bit count and so many bytes from the wire, then a 32-bit count of frames
 * to pass afterwards; one frame passes after every 256 bytes too. Answers each with: a 32-bit count and so many
 * bytes to the wire; a 32-bit count of frames, and for each the pulse widths of the servos, 16 bits each.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "nw_eeprom.h"
#include "nw_pulses.h"
#include "nw_serial.h"
#include "nw_stepper.h"

#define BYTES_PER_FRAME 256u
#define ROOM (1u << 22)

static uint8_t memory[BENCH_EEPROM_BYTES];
static uint16_t widths[NW_SERVOS];
static uint8_t said[ROOM];
static uint32_t said_count;
static uint16_t seen[ROOM][NW_SERVOS];
static uint32_t seen_count;

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
    widths[channel] = ticks;
}

void nw_stepper_move(int16_t parts, bool energised)
{
    (void)parts;
    (void)energised;
}

void nw_serial_write(const char *bytes, uint8_t count)
{
    if (said_count + count <= ROOM) {
        memcpy(&said[said_count], bytes, count);
        said_count += count;
    }
}

static void pass_frame(void)
{
    uint8_t i;

    bench_servo_tick();
    for (i = 0u; i < 5u; i++) {
        bench_stepper_tick();
    }
    if (seen_count < ROOM) {
        memcpy(seen[seen_count], widths, sizeof widths);
        seen_count++;
    }
}

static bool read_count(uint32_t *count)
{
    return fread(count, sizeof *count, 1u, stdin) == 1u;
}

int main(void)
{
    uint32_t bytes, frames, i;

    memset(memory, 0xFF, sizeof memory);
    bench_begin();
    while (read_count(&bytes)) {
        said_count = 0u;
        seen_count = 0u;
        for (i = 0u; i < bytes; i++) {
            bench_byte((uint8_t)getchar());
            if (i % BYTES_PER_FRAME == BYTES_PER_FRAME - 1u) {
                pass_frame();
            }
        }
        if (!read_count(&frames)) {
            break;
        }
        for (i = 0u; i < frames; i++) {
            pass_frame();
        }
        fwrite(&said_count, sizeof said_count, 1u, stdout);
        fwrite(said, 1u, said_count, stdout);
        fwrite(&seen_count, sizeof seen_count, 1u, stdout);
        fwrite(seen, sizeof seen[0], seen_count, stdout);
        fflush(stdout);
    }
    return 0;
}
