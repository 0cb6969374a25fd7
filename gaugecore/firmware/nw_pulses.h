/* Servo pulses at 50 Hz. Widths in timer ticks of 0.5 us. */
#ifndef NW_PULSES_H
#define NW_PULSES_H

#include <stdbool.h>
#include <stdint.h>

/* Widths a servo is ever sent: 300 to 3000 us. */
#define NW_LEAST_TICKS 600u
#define NW_MOST_TICKS 6000u

/* Starts the timer. No channel has pulses yet. */
void nw_pulses_begin(void);

/* Sets the width from the next frame on; 0 ends the pulses. What no servo may be sent is not sent. */
void nw_pulses_set(uint8_t channel, uint16_t ticks);

/* True once a frame: the time to move the needles on. */
bool nw_pulses_frame(void);

#endif
