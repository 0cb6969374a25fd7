"""One channel of a virtual board: what it stores, the movement it sends pulses to, its two table slots."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field

from gaugecore.board.servo_model import Eye, ServoModel
from gaugecore.board.stepper_model import StepperModel
from gaugecore.board.stored_table import Course, StoredTable
from gaugecore.errors import ProtocolError

SLOT_CAPACITY = 512


class Refusal(Exception):
    """The board says no; the words are its reason."""

    def __init__(self, *words: object) -> None:
        self.words = tuple(str(word) for word in words)
        super().__init__(" ".join(self.words))


@dataclass(slots=True)
class Storage:
    """What survives a reset."""

    low: int
    high: int
    park: int | None = None
    slots: list[bytes] = field(default_factory=lambda: [b"", b""])
    active: int | None = None


@dataclass(slots=True)
class Upload:
    """A table on its way into a slot."""

    slot: int
    length: int
    content: bytearray = field(default_factory=bytearray)


class VirtualChannel:
    """One channel. Commands are as on the line; times in seconds of the movement's own clock."""

    def __init__(self, movement: ServoModel | StepperModel, eye: Eye) -> None:
        self.movement, self.eye = movement, eye
        self.storage = Storage(*movement.factory_limits)
        self.restart(0.0)

    def restart(self, now_s: float) -> None:
        """Forget what is not stored: a reset, or power coming back."""
        self.movement.forget(now_s)
        self.powered = False
        self.last_command = 0
        self.upload: Upload | None = None
        self._course = Course()

    def check(self, command: int) -> None:
        """Refuse a command outside the stored limits."""
        if not self.storage.low <= command <= self.storage.high:
            raise Refusal("limit", self.storage.low, self.storage.high)

    def move(self, command: int, now_s: float, *, sticks_at: float | None = None) -> None:
        """Send a command; the last gate before the pulse is here."""
        self.check(command)
        self.powered, self.last_command = True, command
        self.movement.command(command / self.movement.counts_per_command, now_s, sticks_at=sticks_at)

    def home(self, now_s: float) -> None:
        """Drive a stepper into its stop."""
        if not isinstance(self.movement, StepperModel):
            raise Refusal("kind")
        self.powered, self.last_command = True, 0
        self.movement.home(now_s)

    def relax(self, now_s: float) -> None:
        """Send no more pulses."""
        self.powered = False
        self.movement.relax(now_s)

    def lose(self, now_s: float) -> None:
        """Do what is set for the loss of traffic."""
        if not self.powered:
            return
        if self.storage.park is None:
            self.relax(now_s)
        else:
            self.move(min(max(self.storage.park, self.storage.low), self.storage.high), now_s)

    def state(self, now_s: float) -> str:
        """Return the word for `status`."""
        if not self.powered:
            return "relaxed"
        return "moving" if self.movement.moving(now_s) else "still"

    def set_limits(self, low: int, high: int, now_s: float) -> None:
        """Store limits; a channel that stands outside them is relaxed."""
        least, most = self.movement.bounds
        if not least <= low <= high <= most:
            raise Refusal("range", least, most)
        self.storage.low, self.storage.high = low, high
        if self.powered and not low <= self.last_command <= high:
            self.relax(now_s)

    def set_park(self, command: int | None) -> None:
        """Store what to do on loss: park at a command, or relax when there is none."""
        if command is not None:
            self.check(command)
        self.storage.park = command

    def table(self) -> StoredTable:
        """Return the table of the active slot."""
        try:
            return StoredTable.from_bytes(self.active_bytes)
        except ProtocolError as error:
            raise Refusal("table") from error

    @property
    def active_bytes(self) -> bytes:
        """Return what the active slot holds, nothing when there is none."""
        return b"" if self.storage.active is None else self.storage.slots[self.storage.active]

    def command_for(self, raw: int) -> tuple[int, Course]:
        """Return the command for a raw value through the active table, and the course it is on then."""
        table = self.table()
        course = self._course.after(raw, table.hysteresis)
        return table.command(raw, falls=course.falls), course

    def note_course(self, course: Course) -> None:
        """Remember the course of a raw value that was carried out."""
        self._course = course

    def begin(self, length: int) -> int:
        """Start an upload into the slot that is not active."""
        if not 1 <= length <= SLOT_CAPACITY:
            raise Refusal("space", SLOT_CAPACITY)
        slot = 1 if self.storage.active == 0 else 0
        self.upload = Upload(slot, length)
        self.storage.slots[slot] = b""
        return slot

    def block(self, offset: int, content: bytes) -> None:
        """Take the next block."""
        upload = self.upload
        if upload is None or offset != len(upload.content) or offset + len(content) > upload.length:
            raise Refusal("upload")
        upload.content += content

    def commit(self, crc: int) -> int:
        """Make the uploaded table the active one, if it is what was meant."""
        upload = self.upload
        if upload is None:
            if self.storage.active is not None and zlib.crc32(self.active_bytes) == crc:
                return self.storage.active
            raise Refusal("upload")
        if len(upload.content) != upload.length:
            raise Refusal("upload")
        content = bytes(upload.content)
        if zlib.crc32(content) != crc:
            raise Refusal("crc", f"{zlib.crc32(content):08X}")
        try:
            StoredTable.from_bytes(content)
        except ProtocolError as error:
            raise Refusal("table") from error
        self.storage.slots[upload.slot] = content
        self.storage.active = upload.slot
        self.upload = None
        self._course = Course()
        return upload.slot
