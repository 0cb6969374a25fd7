/* What hangs on the board of the bench program, and what it may be sent. */
#ifndef BENCH_CONFIG_H
#define BENCH_CONFIG_H

#if defined(__AVR__)
#include "avr_board.h"
#define BENCH_EEPROM_BYTES (E2END + 1u)
#else
#ifndef NW_SERVOS
#define NW_SERVOS 3
#endif
#ifndef NW_STEPPERS
#define NW_STEPPERS 1
#endif
#define BENCH_EEPROM_BYTES 1024u
#endif

/* Servos come first, then the stepper. */
#define BENCH_CHANNELS (NW_SERVOS + NW_STEPPERS)
#define BENCH_NAME "needlewright-bench-1"

/* Factory limits of a servo: 1000 to 2000 us, what the hobby servo convention promises (R/C makers' manuals). */
#define BENCH_SERVO_LOW 2000u
#define BENCH_SERVO_HIGH 4000u
/* A gauge stepper: 315 degrees of a third of a degree (several public firmware sources). */
#ifndef BENCH_STEPPER_MOST
#define BENCH_STEPPER_MOST 945u
#endif
/* Surely into the stop from anywhere. */
#define BENCH_HOME_RUN (BENCH_STEPPER_MOST + BENCH_STEPPER_MOST / 16u)

/* Pace on the bench: brisk, and gentle enough for a needle on a bare shaft. Common practice, no source. */
#ifndef BENCH_SERVO_SPEED
#define BENCH_SERVO_SPEED NW_SERVO_SPEED(3000UL)
#endif
#define BENCH_SERVO_CHANGE NW_SERVO_CHANGE(30000UL)
#define BENCH_STEPPER_SPEED NW_STEPPER_SPEED(500UL)
#define BENCH_STEPPER_CHANGE NW_STEPPER_CHANGE(4000UL)
#define BENCH_HOME_SPEED NW_STEPPER_SPEED(150UL)

#define BENCH_LEAST_WATCHDOG_MS 100u
#define BENCH_MOST_WATCHDOG_MS 60000u
#define BENCH_WATCHDOG_MS 1000u

#endif
