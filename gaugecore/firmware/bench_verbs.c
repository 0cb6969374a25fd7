/* The verbs of docs/line-protocol.md. Each looks at everything before it does anything. */
#include <string.h>

#include "bench_request.h"

#define VERSION 1u

static bool inside(uint8_t channel, uint16_t command)
{
    const struct bench_channel_settings *const own = &bench.settings.channels[channel];

    return (command >= own->low) && (command <= own->high);
}

static bool refuse_limit(struct bench_request *r, uint8_t channel)
{
    const struct bench_channel_settings *const own = &bench.settings.channels[channel];

    return bench_refuse_with_range(r, "limit", own->low, own->high);
}

static bool save(struct bench_request *r, const struct bench_settings *wanted)
{
    if (!bench_store_save(wanted)) {
        return bench_refuse(r, "storage");
    }
    bench.settings = *wanted;
    return true;
}

static bool hello(struct bench_request *r)
{
    if ((r->count != 1u) || !bench_read_numbers(r, 1u)) {
        return bench_refuse(r, "words");
    }
    bench.greeted = true;
    (void)bench_agree(r);
    bench_put_number(r->answer, VERSION);
    bench_put_word(r->answer, "real");
    bench_put_number(r->answer, BENCH_CHANNELS);
    bench_put_word(r->answer, BENCH_NAME);
    return true;
}

static bool alive(struct bench_request *r)
{
    return (r->count == 0u) ? bench_agree(r) : bench_refuse(r, "words");
}

static bool limits(struct bench_request *r)
{
    const bool sets = (r->count == 3u);
    uint16_t least, most;
    uint8_t channel;

    if (!bench_read_channel(r, sets ? 3u : 1u, sets ? 3u : 1u)) {
        return false;
    }
    channel = (uint8_t)r->numbers[0];
    bench_limits_range(channel, &least, &most);
    if (sets) {
        struct bench_settings wanted = bench.settings;
        if ((r->numbers[1] < least) || (r->numbers[1] > r->numbers[2]) || (r->numbers[2] > most)) {
            return bench_refuse_with_range(r, "range", least, most);
        }
        wanted.channels[channel].low = r->numbers[1];
        wanted.channels[channel].high = r->numbers[2];
        if (!save(r, &wanted)) {
            return false;
        }
        bench_apply_settings(channel);
        nw_limits_changed(&bench.channels[channel].needle);
    }
    (void)bench_agree(r);
    bench_put_word(r->answer, bench_is_servo(channel) ? "servo" : "stepper");
    bench_put_number(r->answer, bench.settings.channels[channel].low);
    bench_put_number(r->answer, bench.settings.channels[channel].high);
    bench_put_number(r->answer, least);
    bench_put_number(r->answer, most);
    return true;
}

static bool loss(struct bench_request *r)
{
    const bool relaxes = (r->count == 2u) && (strcmp(r->words[1], "relax") == 0);
    const bool parks = (r->count == 3u) && (strcmp(r->words[1], "park") == 0)
        && bench_number(r->words[2], &r->numbers[2]);
    const uint16_t park = r->numbers[2];
    struct bench_channel_settings *own;

    if ((r->count != 1u) && !relaxes && !parks) {
        return bench_refuse(r, "words");
    }
    if (!bench_read_channel(r, r->count, 1u)) {
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
    (void)bench_agree(r);
    bench_put_word(r->answer, (own->loss == (uint8_t)NW_PARK) ? "park" : "relax");
    bench_put_number(r->answer, (own->loss == (uint8_t)NW_PARK) ? own->park : 0u);
    return true;
}

static bool watchdog(struct bench_request *r)
{
    if ((r->count > 1u) || !bench_read_numbers(r, r->count)) {
        return bench_refuse(r, "words");
    }
    if (r->count == 1u) {
        struct bench_settings wanted = bench.settings;
        if ((r->numbers[0] < BENCH_LEAST_WATCHDOG_MS) || (r->numbers[0] > BENCH_MOST_WATCHDOG_MS)) {
            return bench_refuse_with_range(r, "range", BENCH_LEAST_WATCHDOG_MS, BENCH_MOST_WATCHDOG_MS);
        }
        wanted.watchdog_ms = r->numbers[0];
        if (!save(r, &wanted)) {
            return false;
        }
    }
    (void)bench_agree(r);
    bench_put_number(r->answer, bench.settings.watchdog_ms);
    return true;
}

/* A channel and one to eight values for it and those after it. */
static bool read_values(struct bench_request *r, uint8_t *values)
{
    if ((r->count < 2u) || (r->count > BENCH_MOST_VALUES + 1u) || !bench_read_numbers(r, r->count)) {
        return bench_refuse(r, "words");
    }
    *values = (uint8_t)(r->count - 1u);
    if ((uint32_t)r->numbers[0] + *values > BENCH_CHANNELS) {
        return bench_refuse(r, "channel");
    }
    return true;
}

/* Sends checked commands, all or none. */
static bool send_all(struct bench_request *r, uint8_t first, uint8_t count, const uint16_t *commands)
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
    return bench_agree(r);
}

static bool move(struct bench_request *r)
{
    uint8_t count;

    return read_values(r, &count) && send_all(r, (uint8_t)r->numbers[0], count, &r->numbers[1]);
}

static bool raw(struct bench_request *r)
{
    struct bench_course courses[BENCH_MOST_VALUES];
    uint16_t commands[BENCH_MOST_VALUES] = {0u};
    uint8_t count, i, first;

    if (!read_values(r, &count)) {
        return false;
    }
    first = (uint8_t)r->numbers[0];
    for (i = 0u; i < count; i++) {
        const struct bench_channel *const channel = &bench.channels[first + i];
        if (channel->table.slot == BENCH_NO_SLOT) {
            return bench_refuse(r, "table");
        }
        courses[i] = bench_course_after((uint8_t)(first + i), &channel->table, &channel->course,
                                        r->numbers[1u + i]);
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

static bool relax(struct bench_request *r)
{
    uint8_t i;

    if (r->count > 0u) {
        if (!bench_read_channel(r, 1u, 1u)) {
            return false;
        }
        bench_relax((uint8_t)r->numbers[0]);
    } else {
        for (i = 0u; i < BENCH_CHANNELS; i++) {
            bench_relax(i);
        }
    }
    return bench_agree(r);
}

static bool status(struct bench_request *r)
{
    static const char *const states[] = {"relaxed", "moving", "still", "moving"};

    if (!bench_read_channel(r, 1u, 1u)) {
        return false;
    }
    (void)bench_agree(r);
    bench_put_word(r->answer, states[nw_state(&bench.channels[r->numbers[0]].needle)]);
    bench_put_number(r->answer, bench.channels[r->numbers[0]].last_command);
    return true;
}

static bool home(struct bench_request *r)
{
    if (!bench_read_channel(r, 1u, 1u)) {
        return false;
    }
    if (bench_is_servo((uint8_t)r->numbers[0])) {
        return bench_refuse(r, "kind");
    }
    nw_home(&bench.channels[r->numbers[0]].needle);
    bench.channels[r->numbers[0]].last_command = 0u;
    bench.watching = true;
    return bench_agree(r);
}

static bool counters(struct bench_request *r)
{
    uint8_t i;

    if (r->count != 0u) {
        return bench_refuse(r, "words");
    }
    (void)bench_agree(r);
    for (i = 0u; i < 6u; i++) {
        bench_put_number(r->answer, bench.counters[i]);
    }
    return true;
}

bool bench_carry_out(const char *const *words, uint8_t count, struct bench_answer *answer)
{
    static const struct {
        const char *name;
        bool (*carry_out)(struct bench_request *r);
    } verbs[] = {
        {"hello", hello},
        {"alive", alive},
        {"limits", limits},
        {"loss", loss},
        {"watchdog", watchdog},
        {"move", move},
        {"raw", raw},
        {"relax", relax},
        {"status", status},
        {"home", home},
        {"counters", counters},
        {"table", bench_table},
        {"begin", bench_begin_upload},
        {"block", bench_block},
        {"commit", bench_commit},
    };
    struct bench_request r = {&words[1], (uint8_t)(count - 1u), answer, {0u}};
    uint8_t i;

    if (!bench.greeted && (strcmp(words[0], "hello") != 0)) {
        return bench_refuse(&r, "hello");
    }
    for (i = 0u; i < sizeof verbs / sizeof verbs[0]; i++) {
        if (strcmp(words[0], verbs[i].name) == 0) {
            return verbs[i].carry_out(&r);
        }
    }
    return bench_refuse(&r, "verb");
}
