/*
 * Runs one function of a compiled AVR program over a range of arguments inside a simulated microcontroller.
 *
 *   harness MCU ELF MAIN SUBJECT LOW HIGH STRIDE ARGUMENT_BYTES OUT
 *
 * MAIN and SUBJECT are byte addresses (from avr-nm); ARGUMENT_BYTES is 2 or 4. The start-up code is run up to
 * main; then, for every argument, the subject is called with a return address of our own and stepped to it.
 * OUT receives one record for each argument: the 16-bit result and the 16-bit count of cycles from entry
 * through RET, both little endian. Stack, r1 and the call-saved registers are checked after every call.
 * Exit code 0, or 1 with a sentence on standard error.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <simavr/sim_avr.h>
#include <simavr/sim_core.h>
#include <simavr/sim_elf.h>

#define START_UP_STEPS 1000000L
#define CALL_STEPS 1000000L

static int die(const char *what, long long at)
{
    fprintf(stderr, "harness: %s (%lld)\n", what, at);
    return 1;
}

static void quiet(avr_t *avr, const int level, const char *format, va_list arguments)
{
    (void)avr;
    if (level <= LOG_ERROR) {
        vfprintf(stderr, format, arguments);
    }
}

static int step_to(avr_t *avr, uint32_t address, long most)
{
    while (avr->pc != address) {
        if (most-- <= 0 || avr->state == cpu_Done || avr->state == cpu_Crashed) {
            return 0;
        }
        avr->pc = avr_run_one(avr);
    }
    return 1;
}

static uint16_t stack_pointer(avr_t *avr)
{
    return (uint16_t)(avr->data[R_SPL] | (avr->data[R_SPH] << 8));
}

static void push_return(avr_t *avr, uint32_t address)
{
    const uint32_t word = address >> 1;
    uint16_t sp = stack_pointer(avr);
    int i;
    for (i = 0; i < avr->address_size; i++) { /* low byte first, as CALL does */
        avr->data[sp--] = (uint8_t)(word >> (8 * i));
    }
    avr->data[R_SPL] = (uint8_t)sp;
    avr->data[R_SPH] = (uint8_t)(sp >> 8);
}

static int call(avr_t *avr, uint32_t subject, uint32_t back, int64_t argument, int bytes, uint16_t record[2])
{
    uint8_t saved[32];
    const uint16_t sp = stack_pointer(avr);
    const uint32_t bits = (uint32_t)argument;
    avr_cycle_count_t start;
    int r;
    /* a function may rely on nothing in the call-used registers */
    for (r = 18; r < 28; r++) {
        avr->data[r] = (uint8_t)(0xA5 ^ r);
    }
    avr->data[30] = avr->data[31] = avr->data[0] = 0x5A;
    if (bytes == 2) {
        avr->data[24] = (uint8_t)bits;
        avr->data[25] = (uint8_t)(bits >> 8);
    } else {
        for (r = 0; r < 4; r++) {
            avr->data[22 + r] = (uint8_t)(bits >> (8 * r));
        }
    }
    memcpy(saved, avr->data, sizeof saved);
    push_return(avr, back);
    avr->pc = subject;
    start = avr->cycle;
    if (!step_to(avr, back, CALL_STEPS)) {
        return die("the function did not return", argument);
    }
    if (stack_pointer(avr) != sp) {
        return die("the stack pointer moved", argument);
    }
    if (avr->data[1] != 0) {
        return die("r1 is not zero", argument);
    }
    if (memcmp(saved + 2, avr->data + 2, 16) != 0 || memcmp(saved + 28, avr->data + 28, 2) != 0) {
        return die("a call-saved register changed", argument);
    }
    record[0] = (uint16_t)(avr->data[24] | (avr->data[25] << 8));
    record[1] = (uint16_t)(avr->cycle - start > 0xFFFFu ? 0xFFFFu : avr->cycle - start);
    return 0;
}

int main(int argc, char **argv)
{
    elf_firmware_t firmware;
    avr_t *avr;
    FILE *out;
    int64_t argument, high, stride;
    uint32_t entry, subject;
    if (argc != 10) {
        return die("wants MCU ELF MAIN SUBJECT LOW HIGH STRIDE ARGUMENT_BYTES OUT", argc - 1);
    }
    avr_global_logger_set(quiet);
    memset(&firmware, 0, sizeof firmware);
    if (elf_read_firmware(argv[2], &firmware) != 0) {
        return die("cannot read the program", 0);
    }
    avr = avr_make_mcu_by_name(argv[1]);
    if (avr == NULL || avr_init(avr) != 0) {
        return die("cannot make this microcontroller", 0);
    }
    avr_load_firmware(avr, &firmware);
    entry = (uint32_t)strtoul(argv[3], NULL, 0);
    subject = (uint32_t)strtoul(argv[4], NULL, 0);
    high = strtoll(argv[6], NULL, 0);
    stride = strtoll(argv[7], NULL, 0);
    if (!step_to(avr, entry, START_UP_STEPS)) {
        return die("start-up did not reach main", avr->pc);
    }
    out = fopen(argv[9], "wb");
    if (out == NULL) {
        return die("cannot write the results", 0);
    }
    for (argument = strtoll(argv[5], NULL, 0); argument <= high; argument += stride) {
        uint16_t record[2];
        if (call(avr, subject, entry, argument, atoi(argv[8]), record) != 0) {
            return 1;
        }
        fwrite(record, sizeof record, 1, out);
    }
    return fclose(out) == 0 ? 0 : die("cannot write the results", 1);
}
