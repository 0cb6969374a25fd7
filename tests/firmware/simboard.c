/*
 * A microcontroller with a serial line, pins that are watched and a memory whose writes are noted, as a shared
 * library over libsimavr; tests/firmware/simboard.py drives it.
 *
 * Traps of simavr 1.6: it puts the port's value on a pin that the timer drives, whenever another pin of the
 * port changes, so a pin of the timer is watched at the timer's compare output; that one has faults of its own
 * (on_match below); and it sleeps in real time unless told otherwise.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <simavr/avr_ioport.h>
#include <simavr/avr_eeprom.h>
#include <simavr/avr_timer.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>

#define CLOCK_HZ 16000000u
/* simavr takes 11 bits to the byte: 8 * 17 * 11 cycles; a real wire brings one every 1389 */
#define CYCLES_PER_BYTE 1500u
#define MOST_PINS 8u
/* the same on both microcontrollers, as addresses in data space */
#define EECR 0x3Fu
#define EEDR 0x40u
#define EEARL 0x41u
#define EEARH 0x42u
#define EEPE 1u
#define TCCR1A 0x80u
#define CLEAR_ON_MATCH 2u
#define SET_ON_MATCH 3u
/* a write takes 3.4 ms (data sheet), which simavr leaves out */
#define WRITE_CYCLES 54400u

struct edge {
    uint64_t cycle;
    uint64_t level;
};

struct written {
    uint32_t address;
    uint32_t byte;
};

struct growing {
    void *items;
    size_t count, room;
};

struct pin {
    struct board *board;
    uint32_t level;
    struct growing edges;
};

struct board {
    avr_t *avr;
    avr_irq_t *input;
    struct growing inbox;
    size_t sent;
    struct growing outbox;
    struct growing writes;
    struct pin pins[MOST_PINS];
};

static void append(struct growing *list, const void *item, size_t size)
{
    if (list->count == list->room) {
        list->room = (list->room == 0u) ? 256u : list->room * 2u;
        list->items = realloc(list->items, list->room * size);
        if (list->items == NULL) {
            abort();
        }
    }
    memcpy((char *)list->items + list->count * size, item, size);
    list->count++;
}

/* Moves up to `most` items out, oldest first. */
static uint32_t take(struct growing *list, void *to, uint32_t most, size_t size)
{
    const size_t count = (list->count < most) ? list->count : most;

    if (count > 0u) {
        memcpy(to, list->items, count * size);
        memmove(list->items, (char *)list->items + count * size, (list->count - count) * size);
    }
    list->count -= count;
    return (uint32_t)count;
}

static void silent(avr_t *avr, const int level, const char *format, va_list arguments)
{
    (void)avr, (void)level, (void)format, (void)arguments;
}

static void no_sleep(avr_t *avr, avr_cycle_count_t how_long)
{
    (void)avr, (void)how_long;
}

static void on_output(struct avr_irq_t *irq, uint32_t value, void *param)
{
    const uint8_t byte = (uint8_t)value;

    (void)irq;
    append(&((struct board *)param)->outbox, &byte, 1u);
}

static void on_pin(struct avr_irq_t *irq, uint32_t value, void *param)
{
    struct pin *const pin = param;

    (void)irq;
    if ((value & 1u) != pin->level) {
        const struct edge edge = {pin->board->avr->cycle, value & 1u};
        pin->level = value & 1u;
        append(&pin->edges, &edge, sizeof edge);
    }
}

/*
 * The compare output. Whenever any register of the timer is written, simavr 1.6 puts the start level of a PWM
 * cycle on it in other modes too: what is not the level that a match is to bring is not real.
 */
static void on_match(struct avr_irq_t *irq, uint32_t value, void *param)
{
    const struct pin *const pin = param;
    const uint32_t mode = pin->board->avr->data[TCCR1A] >> 6;

    if ((mode == SET_ON_MATCH && (value & 1u) != 0u) || (mode == CLEAR_ON_MATCH && (value & 1u) == 0u)) {
        on_pin(irq, value, param);
    }
}

static avr_cycle_count_t memory_busy(avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)when, (void)param;
    avr->data[EECR] |= 1u << EEPE;
    return 0;
}

static avr_cycle_count_t memory_ready(avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)when, (void)param;
    avr->data[EECR] &= (uint8_t)~(1u << EEPE);
    return 0;
}

static void on_memory(struct avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
    (void)address;
    if ((value & (1u << EEPE)) != 0u) {
        const struct written one = {avr->data[EEARL] | ((uint32_t)avr->data[EEARH] << 8), avr->data[EEDR]};
        append(&((struct board *)param)->writes, &one, sizeof one);
        avr_cycle_timer_register(avr, 1u, memory_busy, param);
        avr_cycle_timer_register(avr, WRITE_CYCLES, memory_ready, param);
    }
}

static avr_cycle_count_t send_next(avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *const board = param;

    (void)avr;
    if (board->sent == board->inbox.count) {
        board->sent = board->inbox.count = 0u;
        return 0;
    }
    avr_raise_irq(board->input, ((uint8_t *)board->inbox.items)[board->sent]);
    board->sent++;
    return when + CYCLES_PER_BYTE;
}

struct board *board_new(const char *mcu, const char *elf, const uint8_t *memory, uint32_t memory_bytes)
{
    struct board *const board = calloc(1u, sizeof *board);
    elf_firmware_t firmware;
    avr_irq_t *output;
    uint32_t flags = 0u;
    unsigned i;

    memset(&firmware, 0, sizeof firmware);
    avr_global_logger_set(silent);
    if (board == NULL || elf_read_firmware(elf, &firmware) != 0
        || (board->avr = avr_make_mcu_by_name(mcu)) == NULL) {
        free(board);
        return NULL;
    }
    avr_init(board->avr);
    firmware.frequency = CLOCK_HZ;
    avr_load_firmware(board->avr, &firmware);
    free(firmware.flash);
    board->avr->frequency = CLOCK_HZ;
    board->avr->sleep = no_sleep;
    if (memory_bytes > 0u) {
        avr_eeprom_desc_t contents = {(uint8_t *)memory, 0u, memory_bytes};
        avr_ioctl(board->avr, AVR_IOCTL_EEPROM_SET, &contents);
    }
    avr_ioctl(board->avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
    board->input = avr_io_getirq(board->avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT);
    output = avr_io_getirq(board->avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT);
    avr_irq_register_notify(output, on_output, board);
    avr_register_io_write(board->avr, EECR, on_memory, board);
    for (i = 0u; i < MOST_PINS; i++) {
        board->pins[i].board = board;
    }
    return board;
}

void board_free(struct board *board)
{
    unsigned i;

    avr_terminate(board->avr);
    free(board->avr);
    free(board->inbox.items);
    free(board->outbox.items);
    free(board->writes.items);
    for (i = 0u; i < MOST_PINS; i++) {
        free(board->pins[i].edges.items);
    }
    free(board);
}

/* Watches a pin; port 0 is compare output A of timer 1. */
void board_watch(struct board *board, uint32_t index, char port, uint32_t bit)
{
    if (port == 0) {
        avr_irq_register_notify(avr_io_getirq(board->avr, AVR_IOCTL_TIMER_GETIRQ('1'), TIMER_IRQ_OUT_COMP),
                                on_match, &board->pins[index]);
    } else {
        avr_irq_register_notify(avr_io_getirq(board->avr, AVR_IOCTL_IOPORT_GETIRQ(port), (int)bit), on_pin,
                                &board->pins[index]);
    }
}

/* Runs for a number of cycles; returns 0 unless the program stopped or crashed. */
int board_run(struct board *board, uint64_t cycles)
{
    const avr_cycle_count_t end = board->avr->cycle + cycles;

    while (board->avr->cycle < end) {
        const int state = avr_run(board->avr);
        if (state == cpu_Done || state == cpu_Crashed) {
            return state;
        }
    }
    return 0;
}

/* Runs until all that was sent has arrived; then for some cycles more. */
int board_run_through(struct board *board, uint64_t cycles)
{
    while (board->inbox.count > 0u) {
        const int state = board_run(board, CYCLES_PER_BYTE);
        if (state != 0) {
            return state;
        }
    }
    return board_run(board, cycles);
}

void board_send(struct board *board, const uint8_t *bytes, uint32_t count)
{
    const int idle = (board->inbox.count == 0u);
    uint32_t i;

    for (i = 0u; i < count; i++) {
        append(&board->inbox, &bytes[i], 1u);
    }
    if (idle && count > 0u) {
        avr_cycle_timer_register(board->avr, CYCLES_PER_BYTE, send_next, board);
    }
}

uint32_t board_receive(struct board *board, uint8_t *to, uint32_t most)
{
    return take(&board->outbox, to, most, 1u);
}

uint32_t board_edges(struct board *board, uint32_t index, struct edge *to, uint32_t most)
{
    return take(&board->pins[index].edges, to, most, sizeof *to);
}

uint32_t board_writes(struct board *board, struct written *to, uint32_t most)
{
    return take(&board->writes, to, most, sizeof *to);
}

uint64_t board_cycle(const struct board *board)
{
    return board->avr->cycle;
}

void board_memory(const struct board *board, uint8_t *to, uint32_t count)
{
    avr_eeprom_desc_t contents = {NULL, 0u, count};

    avr_ioctl(board->avr, AVR_IOCTL_EEPROM_GET, &contents);
    memcpy(to, contents.ee, count);
}

uint8_t board_peek(const struct board *board, uint32_t address)
{
    return board->avr->data[address];
}
