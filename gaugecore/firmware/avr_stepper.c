/* A gauge stepper on four pins, stepped from timer 2 at 8 kHz. */
#include "nw_stepper.h"

#include <avr/interrupt.h>
#include <util/atomic.h>

#include "avr_board.h"
#include "nw_coils.h"

#if NW_STEPPERS > 0

#define COIL_PINS (uint8_t)(0x0Fu << NW_COIL_SHIFT)

static struct nw_coils coils;

void nw_stepper_begin(void)
{
    nw_coils_begin(&coils, nw_gauge_states, (uint8_t)sizeof nw_gauge_states);
    NW_COIL_PORT &= (uint8_t)~COIL_PINS;
    NW_COIL_DIRECTION |= COIL_PINS;
    TCCR2A = _BV(WGM21);
    TCCR2B = _BV(CS21); /* 16 MHz / 8 / 250 = 8 kHz, 32 calls in 4 ms */
    OCR2A = 249u;
    TIMSK2 = _BV(OCIE2A);
}

bool nw_stepper_due(void)
{
    return coils.due;
}

void nw_stepper_move(int16_t parts, bool energised)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        coils.next = parts;
        coils.energised = energised;
        coils.due = false;
    }
}

ISR(TIMER2_COMPA_vect)
{
    const uint8_t bits = nw_coils_step(&coils);

    NW_COIL_PORT = (uint8_t)((NW_COIL_PORT & (uint8_t)~COIL_PINS) | (uint8_t)(bits << NW_COIL_SHIFT));
}

#endif
