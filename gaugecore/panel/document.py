"""The panel: the document, composed of the parts' models.

A panel is a value. An edit makes a new panel; undo is a list of panels.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from gaugecore.calibration.readings import Reading
from gaugecore.calibration.result import Fit
from gaugecore.drawing.machine import Machine
from gaugecore.drawing.stock import Stock
from gaugecore.face.face import Face
from gaugecore.feed.damping import Damping
from gaugecore.movement.pointer import Pointer
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import Stepper
from gaugecore.movement.train import Direct, Train
from gaugecore.panel.making import Making
from gaugecore.supply.source import Supply
from gaugecore.values import Caption, Identifier, Part, Quantity, Remark

FORMAT: Final = "needlewright-panel"
VERSION: Final = 1

Movement = Annotated[Servo | Stepper, Field(discriminator="kind")]


class RawInput(Part):
    """The raw values the simulator gives, and what two of them mean: the rest is in proportion."""

    low: Annotated[int, Field(ge=-(2**31), lt=2**31)] = 0
    high: Annotated[int, Field(ge=-(2**31), lt=2**31)] = 65535
    low_value: Quantity
    """Indicated value at ``low``."""
    high_value: Quantity
    """Indicated value at ``high``."""
    field: Caption = ""
    """Name of the value in the feed; empty: the instrument's id."""

    @model_validator(mode="after")
    def _is_a_range(self) -> Self:
        if not self.low < self.high:
            raise ValueError(f"low {self.low} must be below high {self.high}")
        if self.low_value == self.high_value:
            raise ValueError(f"low_value and high_value are both {self.low_value:g}; they must differ")
        return self


class Session(Part):
    """One sitting at the bench: its readings, and the fit made of them."""

    taken_on: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$")] | None = None
    note: Remark = ""
    readings: Annotated[tuple[Reading, ...], Field(max_length=100_000, fail_fast=True)] = ()
    fit: Fit | None = None


class Calibration(Part):
    """Sessions kept side by side; the last one with a fit is the one in force."""

    sessions: Annotated[tuple[Session, ...], Field(max_length=1000)] = ()

    @property
    def in_force(self) -> Session | None:
        """Return the session whose fit is in force, None before the first."""
        return next((session for session in reversed(self.sessions) if session.fit is not None), None)

    @property
    def fit(self) -> Fit | None:
        """Return the fit in force, None before the first."""
        return None if self.in_force is None else self.in_force.fit


class Instrument(Part):
    """One dial: face, pointer, movement, train, damping, calibration."""

    id: Identifier
    title: Caption
    unit: Caption = ""
    raw: RawInput
    face: Face
    pointer: Pointer
    slow_pointer: Pointer | None = None
    """The second needle of a multi-turn dial, below the first on the same arbor."""
    movement: Movement = Servo()
    train: Train = Direct()
    damping: Damping = Damping()
    calibration: Calibration = Calibration()
    making: Making = Making()


class Panel(Part):
    """Instruments, the supply that feeds them, the stock to cut from."""

    format: Literal["needlewright-panel"] = FORMAT
    version: Literal[1] = VERSION
    title: Caption
    note: Remark = ""
    instruments: Annotated[tuple[Instrument, ...], Field(max_length=200)] = ()
    supply: Supply = Supply()
    stock: Annotated[tuple[Stock, ...], Field(min_length=1, max_length=20)] = (Stock(),)
    machine: Machine = Machine()
    """Colours and line widths that the user's own cutter goes by."""

    @model_validator(mode="after")
    def _ids_differ(self) -> Self:
        seen: set[str] = set()
        for instrument in self.instruments:
            if instrument.id in seen:
                raise ValueError(f"the instrument id {instrument.id!r} is used twice; ids must differ")
            seen.add(instrument.id)
        return self

    def instrument(self, instrument_id: str) -> Instrument | None:
        """Return the instrument with this id, None when there is none."""
        return next((i for i in self.instruments if i.id == instrument_id), None)

    def with_instrument(self, changed: Instrument) -> Panel:
        """Return the panel with the instrument of the same id replaced."""
        return self.model_copy(
            update={"instruments": tuple(changed if i.id == changed.id else i for i in self.instruments)}
        )
