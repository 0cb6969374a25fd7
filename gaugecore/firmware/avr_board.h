/*
 * Which pin does what on an 8-bit AVR board with an ATmega328P or an ATmega2560 at 16 MHz.
 *
 *                 servo 0 (OC1A)   servo 1   servo 2   servo 3   stepper coils     serial
 *   ATmega328P    PB1              PB2       PB3       PB4       PD4 PD5 PD6 PD7   PD0 PD1
 *   ATmega2560    PB5              PB6       PB7       PB4       PA0 PA1 PA2 PA3   PE0 PE1
 *
 * Timer 1 makes the servo pulses, timer 2 the steps; timer 0 is free. The bench program and the small program
 * use the same pins, so nothing is rewired after calibration.
 */
#ifndef AVR_BOARD_H
#define AVR_BOARD_H

#include <avr/io.h>

#ifndef F_CPU
#define F_CPU 16000000UL
#endif
#if F_CPU != 16000000UL
#error "all timing here is made for a clock of 16 MHz"
#endif

#ifndef NW_STEPPERS
#define NW_STEPPERS 1
#endif
#if NW_STEPPERS > 1
#error "one stepper at most: the pins of avr_board.h serve one"
#endif

#if defined(__AVR_ATmega2560__)
#ifndef NW_SERVOS
#define NW_SERVOS 4
#endif
#define NW_SERVO_PINS {_BV(PB5), _BV(PB6), _BV(PB7), _BV(PB4)}
#define NW_COIL_PORT PORTA
#define NW_COIL_DIRECTION DDRA
#define NW_COIL_SHIFT 0
#elif defined(__AVR_ATmega328P__)
#ifndef NW_SERVOS
#define NW_SERVOS 3
#endif
#define NW_SERVO_PINS {_BV(PB1), _BV(PB2), _BV(PB3), _BV(PB4)}
#define NW_COIL_PORT PORTD
#define NW_COIL_DIRECTION DDRD
#define NW_COIL_SHIFT 4
#else
#error "give the pins of this microcontroller here"
#endif

#define NW_SERVO_PORT PORTB
#define NW_SERVO_DIRECTION DDRB
#if NW_SERVOS < 1 || NW_SERVOS > 4
#error "1 to 4 servos: there are pins for four"
#endif

#endif
