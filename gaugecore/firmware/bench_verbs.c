/* The verbs of docs/line-protocol.md. Each looks at everything before it does anything. */
#include <string.h>

#include "bench.h"
#include "nw_crc.h"

#define VERSION 1u
#define MOST_VALUES 8u
#define MOST_BLOCK 24u

/* Words after the verb, and where the answer goes. */
struct request {
    const char *const *words;
    uint8_t count;
    struct bench_answer *answer;
    uint16_t numbers[MOST_VALUES + 1u]; /* as far as they were asked for */
};

static bool refuse(struct request *r, const char *reason)
{
    bench_put_word(r->answer, "no");
    bench_put_word(r->answer, reason);
    return false;
}

static bool refuse_with_range(struct request *r, const char *reason, uint16_t low, uint16_t high)
{
    (void)refuse(r, reason);
    bench_put_number(r->answer, low);
    bench_put_number(r->answer, high);
    return false;
}

static bool agree(struct request *r)
{
    bench_put_word(r->answer, "ok");
    return true;
}

/* Reads the first words as numbers. */
static bool read_numbers(struct request *r, uint8_t count)
{
    uint8_t i;

    for (i = 0u; i < count; i++) {
        if (!bench_number(r->words[i], &r->numbers[i])) {
            return false;
        }
    }
    return true;
}

/* Exactly `count` words, of which the first `numbers` are numbers, the first of all a channel. */
static bool read_channel(struct request *r, uint8_t count, uint8_t numbers)
{
    if ((r->count != count) || !read_numbers(r, numbers)) {
        return refuse(r, "words");
    }
    if (r->numbers[0] >= BENCH_CHANNELS) {
        return refuse(r, "channel");
    }
    return true;
}

static bool inside(uint8_t channel, uint16_t command)
{
    return (command >= bench.settings.channels[channel].low) && (command <= bench.settings.channels[channel].high);
}

static bool refuse_limit(struct request *r, uint8_t channel)
{
    return refuse_with_range(r, "limit", bench.settings.channels[channel].low, bench.settings.channels[channel].high);
}

static bool save(struct request *r, const struct bench_settings *wanted)
{
    if (!bench_store_save(wanted)) {
        return refuse(r, "storage");
    }
    bench.settings = *wanted;
    return true;
}

static bool hello(struct request *r)
{
    if ((r->count != 1u) || !read_numbers(r, 1u)) {
        return refuse(r, "words");
    }
    bench.greeted = true;
    (void)agree(r);
    bench_put_number(r->answer, VERSION);
    bench_put_word(r->answer, "real");
    bench_put_number(r->answer, BENCH_CHANNELS);
    bench_put_word(r->answer, BENCH_NAME);
    return true;
}

static bool alive(struct request *r)
{
    return (r->count == 0u) ? agree(r) : refuse(r, "words");
}

static bool limits(struct request *r)
{
    const bool sets = (r->count == 3u);
    uint16_t least, most;
    uint8_t channel;

    if (!read_channel(r, sets ? 3u : 1u, sets ? 3u : 1u)) {
        return false;
    }
    channel = (uint8_t)r->numbers[0];
    bench_limits_range(channel, &least, &most);
    if (sets) {
        struct bench_settings wanted = bench.settings;
        if ((r->numbers[1] < least) || (r->numbers[1] > r->numbers[2]) || (r->numbers[2] > most)) {
            return refuse_with_range(r, "range", least, most);
        }
        wanted.channels[channel].low = r->numbers[1];
        wanted.channels[channel].high = r->numbers[2];
        if (!save(r, &wanted)) {
            return false;
        }
        bench_apply_settings(channel);
        nw_limits_changed(&bench.channels[channel].needle);
    }
    (void)agree(r);
    bench_put_word(r->answer, bench_is_servo(channel) ? "servo" : "stepper");
    bench_put_number(r->answer, bench.settings.channels[channel].low);
    bench_put_number(r->answer, bench.settings.channels[channel].high);
    bench_put_number(r->answer, least);
    bench_put_number(r->answer, most);
    return true;
}

static bool loss(struct request *r)
{
    const bool relaxes = (r->count == 2u) && (strcmp(r->words[1], "relax") == 0);
    const bool parks = (r->count == 3u) && (strcmp(r->words[1], "park") == 0)
        && bench_number(r->words[2], &r->numbers[2]);
    const uint16_t park = r->numbers[2];
    struct bench_channel_settings *own;

    if ((r->count != 1u) && !relaxes && !parks) {
        return refuse(r, "words");
    }
    if (!read_channel(r, r->count, 1u)) {
        return false;
    }
    if (relaxes || parks) {
        struct bench_settings wanted = bench.settings;
        own = &wanted.channels[r->numbers[0]];
        own->loss = (uint8_t)(parks ? NW_PARK : NW_RELAX);
        if (parks) {
            if (!inside((uint8_t)r->numbers[0], park)) {
                return refuse_limit(r, (uint8_t)r->numbers[0]);
            }
            own->park = park;
        }
        if (!save(r, &wanted)) {
            return false;
        }
    }
    own = &bench.settings.channels[r->numbers[0]];
    (void)agree(r);
    bench_put_word(r->answer, (own->loss == (uint8_t)NW_PARK) ? "park" : "relax");
    bench_put_number(r->answer, (own->loss == (uint8_t)NW_PARK) ? own->park : 0u);
    return true;
}

static bool watchdog(struct request *r)
{
    if ((r->count > 1u) || !read_numbers(r, r->count)) {
        return refuse(r, "words");
    }
    if (r->count == 1u) {
        struct bench_settings wanted = bench.settings;
        if ((r->numbers[0] < BENCH_LEAST_WATCHDOG_MS) || (r->numbers[0] > BENCH_MOST_WATCHDOG_MS)) {
            return refuse_with_range(r, "range", BENCH_LEAST_WATCHDOG_MS, BENCH_MOST_WATCHDOG_MS);
        }
        wanted.watchdog_ms = r->numbers[0];
        if (!save(r, &wanted)) {
            return false;
        }
    }
    (void)agree(r);
    bench_put_number(r->answer, bench.settings.watchdog_ms);
    return true;
}

/* A channel and one to eight values for it and those after it. */
static bool read_values(struct request *r, uint8_t *values)
{
    if ((r->count < 2u) || (r->count > MOST_VALUES + 1u) || !read_numbers(r, r->count)) {
        return refuse(r, "words");
    }
    *values = (uint8_t)(r->count - 1u);
    if ((uint32_t)r->numbers[0] + *values > BENCH_CHANNELS) {
        return refuse(r, "channel");
    }
    return true;
}

/* Sends checked commands, all or none. */
static bool send_all(struct request *r, uint8_t first, uint8_t count, const uint16_t *commands)
{
    uint8_t i;

    for (i = 0u; i < count; i++) {
        if (!inside((uint8_t)(first + i), commands[i])) {
            return refuse_limit(r, (uint8_t)(first + i));
        }
    }
    for (i = 0u; i < count; i++) {
        bench_send((uint8_t)(first + i), commands[i]);
    }
    bench.watching = true;
    bench.silent_ms = 0u;
    return agree(r);
}

static bool move(struct request *r)
{
    uint8_t count;

    return read_values(r, &count) && send_all(r, (uint8_t)r->numbers[0], count, &r->numbers[1]);
}

static bool raw(struct request *r)
{
    struct bench_course courses[MOST_VALUES];
    uint16_t commands[MOST_VALUES] = {0u};
    uint8_t count, i, first;

    if (!read_values(r, &count)) {
        return false;
    }
    first = (uint8_t)r->numbers[0];
    for (i = 0u; i < count; i++) {
        const struct bench_channel *const channel = &bench.channels[first + i];
        if (channel->table.slot == BENCH_NO_SLOT) {
            return refuse(r, "table");
        }
        courses[i] = bench_course_after(&channel->course, r->numbers[1u + i]);
        commands[i] = bench_table_command((uint8_t)(first + i), &channel->table, &courses[i]);
    }
    if (!send_all(r, first, count, commands)) {
        return false;
    }
    for (i = 0u; i < count; i++) {
        bench.channels[first + i].course = courses[i];
    }
    return true;
}

static bool relax(struct request *r)
{
    uint8_t i;

    if (r->count > 0u) {
        if (!read_channel(r, 1u, 1u)) {
            return false;
        }
        bench_relax((uint8_t)r->numbers[0]);
    } else {
        for (i = 0u; i < BENCH_CHANNELS; i++) {
            bench_relax(i);
        }
    }
    return agree(r);
}

static bool status(struct request *r)
{
    static const char *const states[] = {"relaxed", "moving", "still", "moving"};

    if (!read_channel(r, 1u, 1u)) {
        return false;
    }
    (void)agree(r);
    bench_put_word(r->answer, states[nw_state(&bench.channels[r->numbers[0]].needle)]);
    bench_put_number(r->answer, bench.channels[r->numbers[0]].last_command);
    return true;
}

static bool home(struct request *r)
{
    if (!read_channel(r, 1u, 1u)) {
        return false;
    }
    if (bench_is_servo((uint8_t)r->numbers[0])) {
        return refuse(r, "kind");
    }
    nw_home(&bench.channels[r->numbers[0]].needle);
    bench.channels[r->numbers[0]].last_command = 0u;
    bench.watching = true;
    return agree(r);
}

static bool counters(struct request *r)
{
    uint8_t i;

    if (r->count != 0u) {
        return refuse(r, "words");
    }
    (void)agree(r);
    for (i = 0u; i < 6u; i++) {
        bench_put_number(r->answer, bench.counters[i]);
    }
    return true;
}

static bool table(struct request *r)
{
    const struct bench_table *own;

    if (!read_channel(r, 1u, 1u)) {
        return false;
    }
    own = &bench.channels[r->numbers[0]].table;
    (void)agree(r);
    if (own->slot == BENCH_NO_SLOT) {
        bench_put_word(r->answer, "-");
        bench_put_number(r->answer, 0u);
        bench_put_crc32(r->answer, 0u);
    } else {
        bench_put_number(r->answer, own->slot);
        bench_put_number(r->answer, own->length);
        bench_put_crc32(r->answer, own->crc);
    }
    bench_put_number(r->answer, bench_slot_capacity());
    return true;
}

static bool begin(struct request *r)
{
    struct bench_upload *upload;
    uint8_t channel;

    if (!read_channel(r, 2u, 2u)) {
        return false;
    }
    channel = (uint8_t)r->numbers[0];
    if ((r->numbers[1] == 0u) || (r->numbers[1] > bench_slot_capacity())) {
        (void)refuse(r, "space");
        bench_put_number(r->answer, bench_slot_capacity());
        return false;
    }
    upload = &bench.uploads[channel];
    upload->slot = (bench.channels[channel].table.slot == 0u) ? 1u : 0u;
    upload->length = r->numbers[1];
    upload->received = 0u;
    bench_slot_clear(channel, upload->slot);
    (void)agree(r);
    bench_put_number(r->answer, upload->slot);
    return true;
}

static bool block(struct request *r)
{
    uint8_t bytes[MOST_BLOCK];
    uint8_t count, channel;
    struct bench_upload *upload;

    count = (r->count == 3u) ? bench_hex(r->words[2], bytes, MOST_BLOCK) : 0u;
    if (count == 0u) {
        return refuse(r, "words");
    }
    if (!read_channel(r, 3u, 2u)) {
        return false;
    }
    channel = (uint8_t)r->numbers[0];
    upload = &bench.uploads[channel];
    if ((upload->length == 0u) || (r->numbers[1] != upload->received)
        || (count > upload->length - upload->received)) {
        return refuse(r, "upload");
    }
    bench_slot_write(channel, upload->slot, upload->received, bytes, count);
    upload->received = (uint16_t)(upload->received + count);
    return agree(r);
}

/* Answers with the slot in force. */
static bool agree_on_slot(struct request *r, uint8_t slot)
{
    (void)agree(r);
    bench_put_number(r->answer, slot);
    return true;
}

/* The slot holds what was announced: makes it the one in force, if it is what was meant and is a table. */
static bool accept_upload(struct request *r, uint8_t channel, uint32_t crc)
{
    struct bench_upload *const upload = &bench.uploads[channel];
    struct bench_channel *const own = &bench.channels[channel];
    struct bench_table fresh;

    fresh.slot = upload->slot;
    fresh.generation = (uint8_t)(own->table.generation + 1u);
    fresh.length = upload->length;
    fresh.crc = bench_slot_crc(channel, upload->slot, upload->length);
    if (fresh.crc != crc) {
        (void)refuse(r, "crc");
        bench_put_crc32(r->answer, fresh.crc);
        return false;
    }
    if (!bench_table_is_sound(channel, &fresh)) {
        return refuse(r, "table");
    }
    if (!bench_slot_seal(channel, &fresh)) {
        return refuse(r, "storage");
    }
    own->table = fresh;
    own->course.started = false;
    upload->length = 0u;
    return agree_on_slot(r, fresh.slot);
}

static bool commit(struct request *r)
{
    uint8_t bytes[4];
    uint32_t crc;
    const struct bench_upload *upload;
    const struct bench_table *own;

    if ((r->count != 2u) || (bench_hex(r->words[1], bytes, 4u) != 4u)) {
        return refuse(r, "words");
    }
    if (!read_channel(r, 2u, 1u)) {
        return false;
    }
    crc = ((uint32_t)bytes[0] << 24) | ((uint32_t)bytes[1] << 16) | ((uint32_t)bytes[2] << 8) | bytes[3];
    upload = &bench.uploads[r->numbers[0]];
    own = &bench.channels[r->numbers[0]].table;
    if ((upload->length == 0u) && (own->slot != BENCH_NO_SLOT) && (own->crc == crc)) {
        return agree_on_slot(r, own->slot);
    }
    if ((upload->length == 0u) || (upload->received != upload->length)) {
        return refuse(r, "upload");
    }
    return accept_upload(r, (uint8_t)r->numbers[0], crc);
}

bool bench_carry_out(const char *const *words, uint8_t count, struct bench_answer *answer)
{
    static const struct {
        const char *name;
        bool (*carry_out)(struct request *r);
    } verbs[] = {
        {"hello", hello}, {"alive", alive},       {"limits", limits}, {"loss", loss},   {"watchdog", watchdog},
        {"move", move},   {"raw", raw},           {"relax", relax},   {"status", status}, {"home", home},
        {"table", table}, {"counters", counters}, {"begin", begin},   {"block", block}, {"commit", commit},
    };
    struct request r = {&words[1], (uint8_t)(count - 1u), answer, {0u}};
    uint8_t i;

    if (!bench.greeted && (strcmp(words[0], "hello") != 0)) {
        return refuse(&r, "hello");
    }
    for (i = 0u; i < sizeof verbs / sizeof verbs[0]; i++) {
        if (strcmp(words[0], verbs[i].name) == 0) {
            return verbs[i].carry_out(&r);
        }
    }
    return refuse(&r, "verb");
}
