/* The serial line of the board: 115200 baud, 8 data bits, no parity, 1 stop bit. */
#ifndef NW_SERIAL_H
#define NW_SERIAL_H

#include <stdbool.h>
#include <stdint.h>

void nw_serial_begin(void);

/* Takes one byte that has come; false when there is none. */
bool nw_serial_read(uint8_t *byte);

/* Puts bytes in the way out; waits only when the last ones are not out yet. */
void nw_serial_write(const char *bytes, uint8_t count);

/* Stops the processor until the next interrupt, unless a byte has come already. */
void nw_serial_rest(void);

#endif
