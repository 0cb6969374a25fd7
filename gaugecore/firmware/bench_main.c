/* The bench program on an 8-bit AVR: see bench.h. */
#include <avr/interrupt.h>

#include "bench.h"
#include "nw_eeprom.h"
#include "nw_pulses.h"
#include "nw_serial.h"
#include "nw_stepper.h"

/* What goes on whatever else is to be done. */
void nw_meanwhile(void)
{
    if (nw_pulses_frame()) {
        bench_servo_tick();
    }
#if NW_STEPPERS > 0
    if (nw_stepper_due()) {
        bench_stepper_tick();
    }
#endif
}

int main(void)
{
    uint8_t byte;

    bench_begin();
    nw_serial_begin();
    nw_pulses_begin();
#if NW_STEPPERS > 0
    nw_stepper_begin();
#endif
    sei();
    for (;;) {
        nw_meanwhile();
        if (nw_serial_read(&byte)) {
            bench_byte(byte);
        } else {
            nw_serial_rest();
        }
    }
}
