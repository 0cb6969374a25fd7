"""A simulated microcontroller with the real firmware in it, as a Python object.

Time is the microcontroller's own, in cycles of 16 MHz; it passes only while a method runs it.
"""

from __future__ import annotations

import ctypes
import struct
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from gaugecore.board.messages import LAST_SEQUENCE, LineReader, frame

CLOCK_HZ = 16_000_000
CYCLES_PER_MS = CLOCK_HZ // 1000
CYCLES_PER_TICK = 8
FRAME_CYCLES = 320_000
MCUS = ("atmega328p", "atmega2560")
EEPROM_BYTES = {"atmega328p": 1024, "atmega2560": 4096}

#: The pins of `avr_board.h`: compare output A of timer 1, then bits of port B.
_SERVO_BITS = {"atmega328p": (2, 3, 4), "atmega2560": (6, 7, 4)}
_COILS = {"atmega328p": ("D", 4), "atmega2560": ("A", 0)}
_FIRST_COIL = 4
_ROOM = 1 << 16


class Pulse(NamedTuple):
    """One pulse at a pin, in cycles."""

    start: int
    width: int


class SimBoard:
    """One microcontroller from power-up.

    Parameters
    ----------
    library : Path
        The harness, built from simboard.c.
    mcu : str
        One of `MCUS`.
    program : Path
        The firmware as an ELF file.
    memory : bytes
        What its EEPROM holds at power-up; nothing: as from the factory.
    """

    def __init__(self, library: Path, mcu: str, program: Path, memory: bytes = b"") -> None:
        self._c = ctypes.CDLL(str(library))
        self._c.board_new.restype = ctypes.c_void_p
        self._c.board_cycle.restype = ctypes.c_uint64
        self._c.board_peek.restype = ctypes.c_uint8
        self.library, self.mcu, self.program = library, mcu, program
        pointer = self._c.board_new(mcu.encode(), str(program).encode(), memory, len(memory))
        assert pointer, f"the simulator does not take {program} for the {mcu}"
        self._board = ctypes.c_void_p(pointer)
        self._reader = LineReader()
        self._room = ctypes.create_string_buffer(16 * _ROOM)
        self._sequence = 0
        self._watch(0, "\0", 0)
        for channel, bit in enumerate(_SERVO_BITS[mcu], 1):
            self._watch(channel, "B", bit)
        port, first = _COILS[mcu]
        for coil in range(4):
            self._watch(_FIRST_COIL + coil, port, first + coil)
        self._high: dict[int, int] = {}

    def close(self) -> None:
        """Switch it off."""
        self._c.board_free(self._board)

    def _watch(self, index: int, port: str, bit: int) -> None:
        self._c.board_watch(self._board, index, ctypes.c_char(port.encode()), bit)

    @property
    def cycle(self) -> int:
        """Return the time since power-up."""
        return int(self._c.board_cycle(self._board))

    @property
    def memory(self) -> bytes:
        """Return what the EEPROM holds."""
        size = EEPROM_BYTES[self.mcu]
        self._c.board_memory(self._board, self._room, size)
        return self._room.raw[:size]

    def peek(self, address: int) -> int:
        """Return a byte of its RAM."""
        return int(self._c.board_peek(self._board, address))

    def run_ms(self, time_ms: float) -> None:
        """Let time pass."""
        self.run_cycles(round(time_ms * CYCLES_PER_MS))

    def run_cycles(self, cycles: int) -> None:
        """Let time pass."""
        assert self._c.board_run(self._board, ctypes.c_uint64(cycles)) == 0, "the program crashed"

    def send(self, data: bytes) -> None:
        """Put bytes on the wire, behind those that wait there."""
        self._c.board_send(self._board, data, len(data))

    def run_through(self, then_ms: float = 0.0) -> None:
        """Let time pass until all bytes sent have arrived, and some more."""
        cycles = ctypes.c_uint64(round(then_ms * CYCLES_PER_MS))
        assert self._c.board_run_through(self._board, cycles) == 0, "the program crashed"

    def receive(self) -> bytes:
        """Return the bytes that came out."""
        count = self._c.board_receive(self._board, self._room, _ROOM)
        return self._room.raw[:count]

    def ask(self, request: str, within_ms: float = 250.0) -> str:
        """Return what is answered to a request, without the sequence numbers; empty: no answer."""
        self._sequence = self._sequence % LAST_SEQUENCE + 1
        self.send(frame(f"{self._sequence} {request}"))
        self.run_through()
        passed_ms = 0.0
        while passed_ms < within_ms:
            self.run_ms(2.0)
            passed_ms += 2.0
            for body in self._reader.feed(self.receive()):
                number, _, rest = body.partition(" ")
                if int(number) == self._sequence:
                    return rest
        return ""

    def greet(self) -> None:
        """Say hello."""
        self.run_ms(20)
        assert self.ask("hello 1").startswith("ok 1 real")

    def exchange(self, data: bytes, then_ms: float = 0.0) -> bytes:
        """Send bytes, let them arrive and time pass, return what came back."""
        self.send(data)
        self.run_through(then_ms)
        return self.receive()

    def pulse_ticks(self, channel: int) -> list[float]:
        """Return the widths of the pulses since the last call, in ticks."""
        return [pulse.width / CYCLES_PER_TICK for pulse in self.pulses(channel)]

    def pulses(self, channel: int) -> list[Pulse]:
        """Return the whole pulses at a servo's pin since the last call."""
        pulses = []
        for cycle, level in self._edges(channel):
            if level:
                self._high[channel] = cycle
            elif channel in self._high:
                pulses.append(Pulse(self._high[channel], cycle - self._high.pop(channel)))
        return pulses

    def coil_states(self) -> list[tuple[int, int]]:
        """Return (cycle, four bits) whenever the coils changed since the last call, starting from all off."""
        changes = sorted(
            (cycle, coil, level) for coil in range(4) for cycle, level in self._edges(_FIRST_COIL + coil)
        )
        bits = getattr(self, "_coil_bits", 0)
        states: list[tuple[int, int]] = []
        for cycle, coil, level in changes:
            bits = bits | 1 << coil if level else bits & ~(1 << coil)
            if states and states[-1][0] == cycle:
                states.pop()
            states.append((cycle, bits))
        self._coil_bits = bits
        return states

    def writes(self) -> list[tuple[int, int]]:
        """Return (address, byte) of every write to the EEPROM since the last call."""
        count = self._c.board_writes(self._board, self._room, _ROOM)
        return list(struct.iter_unpack("=II", self._room.raw[: 8 * count]))

    def _edges(self, pin: int) -> list[tuple[int, int]]:
        count = self._c.board_edges(self._board, pin, self._room, _ROOM)
        return list(struct.iter_unpack("=QQ", self._room.raw[: 16 * count]))


def frames(pulses: Sequence[Pulse]) -> list[int]:
    """Return the cycles from each pulse to the next."""
    return [after.start - before.start for before, after in pairwise(pulses)]
