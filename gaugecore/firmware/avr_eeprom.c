/* See nw_eeprom.h. */
#include "nw_eeprom.h"

#include <avr/eeprom.h>

static uint8_t *place(uint16_t address)
{
    return (uint8_t *)(uintptr_t)address;
}

uint8_t nw_eeprom_read(uint16_t address)
{
    return eeprom_read_byte(place(address));
}

void nw_eeprom_write(uint16_t address, uint8_t byte)
{
    if (nw_eeprom_read(address) != byte) {
        eeprom_write_byte(place(address), byte);
        while (!eeprom_is_ready()) {
            nw_meanwhile();
        }
    }
}
