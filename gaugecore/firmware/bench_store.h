/*
 * What the bench program keeps without power: settings, and two table slots for each channel.
 *
 * Settings are there twice and written in turn, each with a number that counts up and a CRC-16; a slot is
 * valid when its head is whole and its bytes have the CRC-32 of the head. So a power cut between any two bytes
 * leaves what was there before, or what was to come, and never a mixture.
 */
#ifndef BENCH_STORE_H
#define BENCH_STORE_H

#include <stdbool.h>
#include <stdint.h>

#include "bench_config.h"

struct bench_channel_settings {
    uint16_t low, high, park;
    uint8_t loss; /* enum nw_loss */
};

struct bench_settings {
    uint16_t watchdog_ms;
    struct bench_channel_settings channels[BENCH_CHANNELS];
};

#define BENCH_NO_SLOT 2u

/* The table of a channel that is in force. */
struct bench_table {
    uint8_t slot; /* 0, 1 or BENCH_NO_SLOT */
    uint8_t generation;
    uint16_t length;
    uint32_t crc;
};

/* Reads the settings; false when there are none that are whole. */
bool bench_store_load(struct bench_settings *settings);

/* Writes them beside the old ones and reads them back; false when that failed. */
bool bench_store_save(const struct bench_settings *settings);

/* Finds the newest whole table of a channel. */
struct bench_table bench_slot_find(uint8_t channel);

/* Makes a slot invalid before its bytes are written. */
void bench_slot_clear(uint8_t channel, uint8_t slot);

/* Writes bytes into a slot. */
void bench_slot_write(uint8_t channel, uint8_t slot, uint16_t offset, const uint8_t *bytes, uint8_t count);

uint8_t bench_slot_byte(uint8_t channel, uint8_t slot, uint16_t offset);
uint16_t bench_slot_word(uint8_t channel, uint8_t slot, uint16_t offset);
uint32_t bench_slot_crc(uint8_t channel, uint8_t slot, uint16_t length);

/* Writes the head, which makes the slot valid; reads it back, false when that failed. */
bool bench_slot_seal(uint8_t channel, const struct bench_table *table);

/* How many bytes a slot takes. */
uint16_t bench_slot_capacity(void);

#endif
