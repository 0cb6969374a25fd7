"""What feeds the panel, and what hangs on it."""

from __future__ import annotations

from enum import Enum
from typing import Annotated, Self

from pydantic import Field, model_validator

from gaugecore.supply.leds import LedString
from gaugecore.supply.meter import MeterReading, When
from gaugecore.supply.pins import Controller
from gaugecore.supply.wires import Wire
from gaugecore.values import Caption, Current, Part


class SourceKind(Enum):
    """Where the current comes from; limits in `LIMIT_MA`."""

    USB2 = "usb2"
    USB3 = "usb3"
    USB_C_1A5 = "usb-c-1.5a"
    USB_C_3A = "usb-c-3a"
    CHARGER = "charger"  #: a USB charging
    SEPARATE = "separate"  #: a certified 5 V supply of its own, with common ground


LIMIT_MA: dict[SourceKind, float] = {
    SourceKind.USB2: 500.0,
    SourceKind.USB3: 900.0,
    SourceKind.USB_C_1A5: 1500.0,
    SourceKind.USB_C_3A: 3000.0,
    SourceKind.CHARGER: 1500.0,
    SourceKind.SEPARATE: 2000.0,
}
"""What a configured port may be asked for: USB 2 five unit loads of 100 mA, USB 3 six of 150 mA; charging
port 1.5 A (BC 1.2); what USB-C advertises (trade articles on USB power). A separate supply
has what is printed on it; 2 A stands in until ``limit_ma`` says so."""

UNCONFIGURED_MA: dict[SourceKind, float] = {SourceKind.USB2: 100.0, SourceKind.USB3: 150.0}
"""What a device may draw before the host has accepted it: one unit load (same)."""


class Load(Part):
    """Anything that draws current besides LED strings and movements."""

    name: Caption
    current_ma: Current
    count: Annotated[int, Field(ge=1, le=1000)] = 1
    worst_ma: Current | None = None
    """The most one of them may draw; none: as typical."""
    when: When = When.ALWAYS

    @model_validator(mode="after")
    def _worst_is_not_less(self) -> Self:
        if self.worst_ma is not None and self.worst_ma < self.current_ma:
            raise ValueError(
                f"worst_ma {self.worst_ma:g} of {self.name!r} is below current_ma {self.current_ma:g}"
            )
        return self


class Supply(Part):
    """The source and the loads on it."""

    source: SourceKind = SourceKind.USB2
    volts: Annotated[float, Field(gt=0, le=60)] = 5.0
    limit_ma: Current | None = None
    """What the source may give; none: the published figure for its kind."""
    loads: Annotated[tuple[Load, ...], Field(max_length=200)] = (Load(name="board", current_ma=50.0),)
    led_strings: Annotated[tuple[LedString, ...], Field(max_length=500)] = ()
    movements_apart: bool = False
    """Whether the movements have a supply of their own, with common ground."""
    movements_limit_ma: Current | None = None
    """What that supply may give; none: 2 A stands in until you say so."""
    controller: Controller = Controller.ATMEGA328P
    wires: Annotated[tuple[Wire, ...], Field(max_length=200)] = ()
    measured: Annotated[tuple[MeterReading, ...], Field(max_length=1000)] = ()
    """Meter readings, state by state."""

    @property
    def source_limit_ma(self) -> float:
        """Return what the source may give."""
        return LIMIT_MA[self.source] if self.limit_ma is None else self.limit_ma

    @property
    def movements_source_limit_ma(self) -> float:
        """Return what the movements' own supply may give."""
        return LIMIT_MA[SourceKind.SEPARATE] if self.movements_limit_ma is None else self.movements_limit_ma
