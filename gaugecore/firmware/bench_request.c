/* See bench_request.h. */
#include "bench_request.h"

bool bench_refuse(struct bench_request *r, const char *reason)
{
    bench_put_word(r->answer, "no");
    bench_put_word(r->answer, reason);
    return false;
}

bool bench_refuse_with_range(struct bench_request *r, const char *reason, uint16_t low, uint16_t high)
{
    (void)bench_refuse(r, reason);
    bench_put_number(r->answer, low);
    bench_put_number(r->answer, high);
    return false;
}

bool bench_agree(struct bench_request *r)
{
    bench_put_word(r->answer, "ok");
    return true;
}

bool bench_read_numbers(struct bench_request *r, uint8_t count)
{
    uint8_t i;

    for (i = 0u; i < count; i++) {
        if (!bench_number(r->words[i], &r->numbers[i])) {
            return false;
        }
    }
    return true;
}

bool bench_read_channel(struct bench_request *r, uint8_t count, uint8_t numbers)
{
    if ((r->count != count) || !bench_read_numbers(r, numbers)) {
        return bench_refuse(r, "words");
    }
    if (r->numbers[0] >= BENCH_CHANNELS) {
        return bench_refuse(r, "channel");
    }
    return true;
}
