/* The two checksums of docs/line-protocol.md, a byte at a time. */
#ifndef NW_CRC_H
#define NW_CRC_H

#include <stdint.h>

#define NW_CRC16_START 0xFFFFu
#define NW_CRC32_START 0xFFFFFFFFUL

#if defined(__AVR__)
#include <util/crc16.h>
/* CRC-16/CCITT-FALSE: the library's routine for this polynomial, with our own start value. */
static inline uint16_t nw_crc16(uint16_t crc, uint8_t byte)
{
    return _crc_xmodem_update(crc, byte);
}
#else
static inline uint16_t nw_crc16(uint16_t crc, uint8_t byte)
{
    uint8_t i;

    crc = (uint16_t)(crc ^ (uint16_t)((uint16_t)byte << 8));
    for (i = 0u; i < 8u; i++) {
        crc = (uint16_t)(((crc & 0x8000u) != 0u) ? (((unsigned)crc << 1) ^ 0x1021u) : ((unsigned)crc << 1));
    }
    return crc;
}
#endif

/* CRC-32; the library has none. Start with NW_CRC32_START, invert at the end. */
static inline uint32_t nw_crc32(uint32_t crc, uint8_t byte)
{
    uint8_t i;

    crc ^= byte;
    for (i = 0u; i < 8u; i++) {
        crc = ((crc & 1u) != 0u) ? ((crc >> 1) ^ 0xEDB88320UL) : (crc >> 1);
    }
    return crc;
}

#endif
