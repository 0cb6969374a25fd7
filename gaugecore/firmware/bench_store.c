/* See bench_store.h. */
#include "bench_store.h"

#include "nw_crc.h"
#include "nw_eeprom.h"

/* Settings: layout, generation, watchdog, 7 bytes a channel, CRC-16. All numbers low byte first. */
#define SETTINGS_BYTES (4u + 7u * BENCH_CHANNELS)
#define SETTINGS_COPY (SETTINGS_BYTES + 2u)
/* Another number of channels is another layout; the old settings are then not taken for the new ones. */
#define LAYOUT (0x40u + BENCH_CHANNELS)

/* Head of a slot: generation, length, CRC-32 of the table, CRC-16 of the seven bytes before it. */
#define HEAD_BYTES 7u
#define HEAD (HEAD_BYTES + 2u)
#define SLOT ((BENCH_EEPROM_BYTES - 2u * SETTINGS_COPY) / (2u * BENCH_CHANNELS))
#define LONGEST_TABLE (4u + 4u * 2u * 255u)

static uint8_t copy_in_use = 1u;
static uint8_t generation_in_use;

static uint16_t checksum(const uint8_t *bytes, uint8_t count)
{
    uint16_t crc = NW_CRC16_START;
    uint8_t i;

    for (i = 0u; i < count; i++) {
        crc = nw_crc16(crc, bytes[i]);
    }
    return crc;
}

static void put_word(uint8_t *bytes, uint16_t word)
{
    bytes[0] = (uint8_t)(word & 0xFFu);
    bytes[1] = (uint8_t)(word >> 8);
}

static uint16_t get_word(const uint8_t *bytes)
{
    return (uint16_t)((uint16_t)((uint16_t)bytes[1] << 8) | bytes[0]);
}

/* Bytes with their CRC-16 behind them; false when the CRC is wrong. */
static bool read_checked(uint16_t address, uint8_t *bytes, uint8_t count)
{
    uint8_t crc[2];
    uint8_t i;

    for (i = 0u; i < count; i++) {
        bytes[i] = nw_eeprom_read((uint16_t)(address + i));
    }
    crc[0] = nw_eeprom_read((uint16_t)(address + count));
    crc[1] = nw_eeprom_read((uint16_t)(address + count + 1u));
    return get_word(crc) == checksum(bytes, count);
}

/* Writes bytes and then their CRC-16, and looks whether they are there. */
static bool write_checked(uint16_t address, const uint8_t *bytes, uint8_t count)
{
    const uint16_t crc = checksum(bytes, count);
    bool there = true;
    uint8_t i;

    for (i = 0u; i < count; i++) {
        nw_eeprom_write((uint16_t)(address + i), bytes[i]);
    }
    nw_eeprom_write((uint16_t)(address + count), (uint8_t)(crc & 0xFFu));
    nw_eeprom_write((uint16_t)(address + count + 1u), (uint8_t)(crc >> 8));
    for (i = 0u; i < count; i++) {
        there = there && (nw_eeprom_read((uint16_t)(address + i)) == bytes[i]);
    }
    return there && (nw_eeprom_read((uint16_t)(address + count)) == (uint8_t)(crc & 0xFFu))
        && (nw_eeprom_read((uint16_t)(address + count + 1u)) == (uint8_t)(crc >> 8));
}

/* Whether a generation comes after another; they count round. */
static bool is_newer(uint8_t one, uint8_t other)
{
    const uint8_t ahead = (uint8_t)(one - other);

    return (ahead != 0u) && (ahead < 128u);
}

static void unpack(const uint8_t *bytes, struct bench_settings *settings)
{
    uint8_t i;

    settings->watchdog_ms = get_word(&bytes[2]);
    for (i = 0u; i < BENCH_CHANNELS; i++) {
        const uint8_t *const from = &bytes[4u + 7u * i];
        settings->channels[i].low = get_word(from);
        settings->channels[i].high = get_word(from + 2);
        settings->channels[i].park = get_word(from + 4);
        settings->channels[i].loss = from[6];
    }
}

static void pack(const struct bench_settings *settings, uint8_t *bytes)
{
    uint8_t i;

    bytes[0] = LAYOUT;
    put_word(&bytes[2], settings->watchdog_ms);
    for (i = 0u; i < BENCH_CHANNELS; i++) {
        uint8_t *const to = &bytes[4u + 7u * i];
        put_word(to, settings->channels[i].low);
        put_word(to + 2, settings->channels[i].high);
        put_word(to + 4, settings->channels[i].park);
        to[6] = settings->channels[i].loss;
    }
}

bool bench_store_load(struct bench_settings *settings)
{
    uint8_t bytes[SETTINGS_BYTES];
    bool found = false;
    uint8_t copy;

    for (copy = 0u; copy < 2u; copy++) {
        if (read_checked((uint16_t)(copy * SETTINGS_COPY), bytes, SETTINGS_BYTES) && (bytes[0] == LAYOUT)
            && (!found || is_newer(bytes[1], generation_in_use))) {
            found = true;
            copy_in_use = copy;
            generation_in_use = bytes[1];
            unpack(bytes, settings);
        }
    }
    return found;
}

bool bench_store_save(const struct bench_settings *settings)
{
    uint8_t bytes[SETTINGS_BYTES];
    const uint8_t copy = (uint8_t)(1u - copy_in_use);

    pack(settings, bytes);
    bytes[1] = (uint8_t)(generation_in_use + 1u);
    if (!write_checked((uint16_t)(copy * SETTINGS_COPY), bytes, SETTINGS_BYTES)) {
        return false;
    }
    copy_in_use = copy;
    generation_in_use = bytes[1];
    return true;
}

static uint16_t head_of(uint8_t channel, uint8_t slot)
{
    return (uint16_t)(2u * SETTINGS_COPY + (2u * (uint16_t)channel + slot) * SLOT);
}

uint16_t bench_slot_capacity(void)
{
    return ((SLOT - HEAD) > LONGEST_TABLE) ? (uint16_t)LONGEST_TABLE : (uint16_t)(SLOT - HEAD);
}

uint8_t bench_slot_byte(uint8_t channel, uint8_t slot, uint16_t offset)
{
    return nw_eeprom_read((uint16_t)(head_of(channel, slot) + HEAD + offset));
}

uint16_t bench_slot_word(uint8_t channel, uint8_t slot, uint16_t offset)
{
    uint8_t bytes[2];

    bytes[0] = bench_slot_byte(channel, slot, offset);
    bytes[1] = bench_slot_byte(channel, slot, (uint16_t)(offset + 1u));
    return get_word(bytes);
}

uint32_t bench_slot_crc(uint8_t channel, uint8_t slot, uint16_t length)
{
    uint32_t crc = NW_CRC32_START;
    uint16_t i;

    for (i = 0u; i < length; i++) {
        crc = nw_crc32(crc, bench_slot_byte(channel, slot, i));
    }
    return crc ^ 0xFFFFFFFFUL;
}

/* Reads a head; false when the slot holds no whole table. */
static bool read_slot(uint8_t channel, uint8_t slot, struct bench_table *table)
{
    uint8_t head[HEAD_BYTES];

    if (!read_checked(head_of(channel, slot), head, HEAD_BYTES)) {
        return false;
    }
    table->slot = slot;
    table->generation = head[0];
    table->length = get_word(&head[1]);
    table->crc = ((uint32_t)get_word(&head[5]) << 16) | get_word(&head[3]);
    return (table->length <= bench_slot_capacity())
        && (bench_slot_crc(channel, slot, table->length) == table->crc);
}

struct bench_table bench_slot_find(uint8_t channel)
{
    struct bench_table found = {BENCH_NO_SLOT, 0u, 0u, 0u};
    uint8_t slot;

    for (slot = 0u; slot < 2u; slot++) {
        struct bench_table table;
        if (read_slot(channel, slot, &table)
            && ((found.slot == BENCH_NO_SLOT) || is_newer(table.generation, found.generation))) {
            found = table;
        }
    }
    return found;
}

void bench_slot_clear(uint8_t channel, uint8_t slot)
{
    const uint16_t head = head_of(channel, slot);
    const uint16_t crc = (uint16_t)(head + HEAD_BYTES);
    uint8_t bytes[HEAD_BYTES];

    if (read_checked(head, bytes, HEAD_BYTES)) {
        nw_eeprom_write(crc, (uint8_t)~nw_eeprom_read(crc));
    }
}

void bench_slot_write(uint8_t channel, uint8_t slot, uint16_t offset, const uint8_t *bytes, uint8_t count)
{
    const uint16_t address = (uint16_t)(head_of(channel, slot) + HEAD + offset);
    uint8_t i;

    for (i = 0u; i < count; i++) {
        nw_eeprom_write((uint16_t)(address + i), bytes[i]);
    }
}

bool bench_slot_seal(uint8_t channel, const struct bench_table *table)
{
    uint8_t head[HEAD_BYTES];

    head[0] = table->generation;
    put_word(&head[1], table->length);
    put_word(&head[3], (uint16_t)(table->crc & 0xFFFFu));
    put_word(&head[5], (uint16_t)(table->crc >> 16));
    return write_checked(head_of(channel, table->slot), head, HEAD_BYTES);
}
