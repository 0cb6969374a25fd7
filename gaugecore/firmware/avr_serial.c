/* USART 0 with a ring of bytes each way. */
#include "nw_serial.h"

#include <avr/interrupt.h>
#include <avr/sleep.h>

#include "avr_board.h"

/* At double speed 16 MHz / 8 / 17 = 117647 baud, 2.1 % above 115200, as the data sheet's table has it. */
#define DIVIDER 16u
#define RING 128u
#define ROUND (RING - 1u)

#if defined(__AVR_ATmega2560__)
#define RECEIVED_vect USART0_RX_vect
#define EMPTY_vect USART0_UDRE_vect
#else
#define RECEIVED_vect USART_RX_vect
#define EMPTY_vect USART_UDRE_vect
#endif

static volatile uint8_t in[RING], out[RING];
static volatile uint8_t in_head, in_tail, out_head, out_tail;

void nw_serial_begin(void)
{
    UCSR0A = _BV(U2X0);
    UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
    UBRR0 = DIVIDER;
    UCSR0B = _BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0);
    SMCR = 0u; /* sleep means idle: timers and the serial line go on */
}

bool nw_serial_read(uint8_t *byte)
{
    const uint8_t tail = in_tail;

    if (tail == in_head) {
        return false;
    }
    *byte = in[tail];
    in_tail = (uint8_t)((tail + 1u) & ROUND);
    return true;
}

void nw_serial_write(const char *bytes, uint8_t count)
{
    uint8_t i;

    for (i = 0u; i < count; i++) {
        const uint8_t next = (uint8_t)((out_head + 1u) & ROUND);
        while (next == out_tail) {
        }
        out[out_head] = (uint8_t)bytes[i];
        out_head = next;
        UCSR0B |= _BV(UDRIE0);
    }
}

void nw_serial_rest(void)
{
    cli();
    if (in_head == in_tail) {
        sleep_enable();
        sei(); /* takes effect after the next instruction, so nothing can come between */
        sleep_cpu();
        sleep_disable();
    }
    sei();
}

ISR(RECEIVED_vect)
{
    const bool framed = (UCSR0A & _BV(FE0)) == 0u;
    const uint8_t byte = UDR0;
    const uint8_t next = (uint8_t)((in_head + 1u) & ROUND);

    if (framed && (next != in_tail)) { /* a byte lost here makes its line invalid, which is all it may do */
        in[in_head] = byte;
        in_head = next;
    }
}

ISR(EMPTY_vect)
{
    if (out_head == out_tail) {
        UCSR0B &= (uint8_t)~_BV(UDRIE0);
    } else {
        UDR0 = out[out_tail];
        out_tail = (uint8_t)((out_tail + 1u) & ROUND);
    }
}
