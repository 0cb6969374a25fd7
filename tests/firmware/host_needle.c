/*
 * The runtime on this machine, driven by lines on standard input, for tests/firmware/test_needle.py.
 *
 *   setup LOW HIGH PARK SPEED CHANGE SILENCE LOSS START HOME_RUN HOME_SPEED HOLD
 *   command C | raw R | relax | home | limits LOW HIGH | tick N
 *
 * Each line is answered with: taken, state, output, and for each tick the position and the state.
 */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "nw_needle.h"

/* A table that leaves the limits of any test: the runtime must hold it. */
static uint16_t steep_table(int32_t raw)
{
    return (uint16_t)((uint32_t)raw & 0xFFFFu);
}

static struct nw_setup setup;
static struct nw_needle needle;

static void begin(const char *line)
{
    unsigned v[11] = {0};

    if (sscanf(line, "setup %u %u %u %u %u %u %u %u %u %u %u", &v[0], &v[1], &v[2], &v[3], &v[4], &v[5], &v[6], &v[7],
               &v[8], &v[9], &v[10]) != 11) {
        return;
    }
    setup.table = steep_table;
    setup.raw_low = -70000;
    setup.raw_high = 140000;
    setup.low = (uint16_t)v[0];
    setup.high = (uint16_t)v[1];
    setup.park = (uint16_t)v[2];
    setup.speed = (uint16_t)v[3];
    setup.change = (uint16_t)v[4];
    setup.silence_ticks = (uint16_t)v[5];
    setup.loss = (uint8_t)v[6];
    setup.start = (uint8_t)v[7];
    setup.home_run = (uint16_t)v[8];
    setup.home_speed = (uint16_t)v[9];
    setup.hold_ticks = (uint8_t)v[10];
    nw_begin(&needle, &setup);
}

int main(void)
{
    char line[200];

    while (fgets(line, sizeof line, stdin) != NULL) {
        unsigned a = 0, b = 0, ticks = 0;
        int32_t raw = 0;
        bool taken = true;

        if (strncmp(line, "setup", 5) == 0) {
            begin(line);
        } else if (sscanf(line, "command %u", &a) == 1) {
            taken = nw_command(&needle, (uint16_t)a);
        } else if (sscanf(line, "raw %" SCNd32, &raw) == 1) {
            nw_raw(&needle, raw);
        } else if (strcmp(line, "relax\n") == 0) {
            nw_relax(&needle);
        } else if (strcmp(line, "home\n") == 0) {
            nw_home(&needle);
        } else if (sscanf(line, "limits %u %u", &a, &b) == 2) {
            setup.low = (uint16_t)a;
            setup.high = (uint16_t)b;
            nw_limits_changed(&needle);
        } else {
            sscanf(line, "tick %u", &ticks);
        }
        printf("%d %d %u", taken, (int)nw_state(&needle), (unsigned)nw_output(&needle));
        for (; ticks > 0u; ticks--) {
            nw_tick(&needle);
            printf(" %" PRId32 " %d %d %u", needle.position, (int)nw_state(&needle), (int)needle.moved,
                   (unsigned)nw_output(&needle));
        }
        printf("\n");
        fflush(stdout);
    }
    return 0;
}
