/*
 * The verbs that bring a table into a slot. The slot in force is not touched: the other one becomes it, with
 * the last byte that is written, when all of it is there and sound.
 */
#include "bench_request.h"

#define MOST_BLOCK 24u

bool bench_table(struct bench_request *r)
{
    const struct bench_table *own;

    if (!bench_read_channel(r, 1u, 1u)) {
        return false;
    }
    own = &bench.channels[r->numbers[0]].table;
    (void)bench_agree(r);
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

bool bench_begin_upload(struct bench_request *r)
{
    struct bench_upload *upload;
    uint8_t channel;

    if (!bench_read_channel(r, 2u, 2u)) {
        return false;
    }
    channel = (uint8_t)r->numbers[0];
    if ((r->numbers[1] == 0u) || (r->numbers[1] > bench_slot_capacity())) {
        (void)bench_refuse(r, "space");
        bench_put_number(r->answer, bench_slot_capacity());
        return false;
    }
    upload = &bench.uploads[channel];
    upload->slot = (bench.channels[channel].table.slot == 0u) ? 1u : 0u;
    upload->length = r->numbers[1];
    upload->received = 0u;
    bench_slot_clear(channel, upload->slot);
    (void)bench_agree(r);
    bench_put_number(r->answer, upload->slot);
    return true;
}

bool bench_block(struct bench_request *r)
{
    uint8_t bytes[MOST_BLOCK];
    uint8_t count, channel;
    struct bench_upload *upload;

    count = (r->count == 3u) ? bench_hex(r->words[2], bytes, MOST_BLOCK) : 0u;
    if (count == 0u) {
        return bench_refuse(r, "words");
    }
    if (!bench_read_channel(r, 3u, 2u)) {
        return false;
    }
    channel = (uint8_t)r->numbers[0];
    upload = &bench.uploads[channel];
    if ((upload->length == 0u) || (r->numbers[1] != upload->received)
        || (count > upload->length - upload->received)) {
        return bench_refuse(r, "upload");
    }
    bench_slot_write(channel, upload->slot, upload->received, bytes, count);
    upload->received = (uint16_t)(upload->received + count);
    return bench_agree(r);
}

/* Answers with the slot in force. */
static bool agree_on_slot(struct bench_request *r, uint8_t slot)
{
    (void)bench_agree(r);
    bench_put_number(r->answer, slot);
    return true;
}

/* The slot holds what was announced: makes it the one in force, if it is what was meant and is a table. */
static bool accept_upload(struct bench_request *r, uint8_t channel, uint32_t crc)
{
    struct bench_upload *const upload = &bench.uploads[channel];
    struct bench_channel *const own = &bench.channels[channel];
    struct bench_table fresh;

    fresh.slot = upload->slot;
    fresh.generation = (uint8_t)(own->table.generation + 1u);
    fresh.length = upload->length;
    fresh.crc = bench_slot_crc(channel, upload->slot, upload->length);
    if (fresh.crc != crc) {
        (void)bench_refuse(r, "crc");
        bench_put_crc32(r->answer, fresh.crc);
        return false;
    }
    if (!bench_table_is_sound(channel, &fresh)) {
        return bench_refuse(r, "table");
    }
    if (!bench_slot_seal(channel, &fresh)) {
        return bench_refuse(r, "storage");
    }
    own->table = fresh;
    own->course.started = false;
    upload->length = 0u;
    return agree_on_slot(r, fresh.slot);
}

bool bench_commit(struct bench_request *r)
{
    uint8_t bytes[4];
    uint32_t crc;
    const struct bench_upload *upload;
    const struct bench_table *own;

    if ((r->count != 2u) || (bench_hex(r->words[1], bytes, 4u) != 4u)) {
        return bench_refuse(r, "words");
    }
    if (!bench_read_channel(r, 2u, 1u)) {
        return false;
    }
    crc = ((uint32_t)bytes[0] << 24) | ((uint32_t)bytes[1] << 16) | ((uint32_t)bytes[2] << 8) | bytes[3];
    upload = &bench.uploads[r->numbers[0]];
    own = &bench.channels[r->numbers[0]].table;
    if ((upload->length == 0u) && (own->slot != BENCH_NO_SLOT) && (own->crc == crc)) {
        return agree_on_slot(r, own->slot);
    }
    if ((upload->length == 0u) || (upload->received != upload->length)) {
        return bench_refuse(r, "upload");
    }
    return accept_upload(r, (uint8_t)r->numbers[0], crc);
}
