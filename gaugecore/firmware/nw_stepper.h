/* The stepper of the board: a timer that calls nw_coils_step() and sets the pins. */
#ifndef NW_STEPPER_H
#define NW_STEPPER_H

#include <stdbool.h>
#include <stdint.h>

/* Starts the timer; no current yet. The gauge stepper's six states. */
void nw_stepper_begin(void);

/* True once every 4 ms: the time for nw_tick(), and then for nw_stepper_move() with what it moved. */
bool nw_stepper_due(void);

/* Gives the next movement, in parts, and whether the coils carry current. */
void nw_stepper_move(int16_t parts, bool energised);

#endif
