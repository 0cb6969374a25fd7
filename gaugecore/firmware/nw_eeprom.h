/* The memory that keeps its contents without power. */
#ifndef NW_EEPROM_H
#define NW_EEPROM_H

#include <stdint.h>

uint8_t nw_eeprom_read(uint16_t address);

/* Writes a byte if it differs; calls nw_meanwhile() while the memory is busy (3.4 ms a byte). */
void nw_eeprom_write(uint16_t address, uint8_t byte);

/* Provided by the program: what must go on while the memory is busy. It must not use the memory. */
void nw_meanwhile(void);

#endif
