"""What feeds the panel, and what else hangs on it."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from pydantic import Field

from gaugecore.values import Caption, Current, Part


class SourceKind(Enum):
    """Where the current comes from; limits in `LIMIT_MA`."""

    USB2 = "usb2"
    USB3 = "usb3"
    USB_C_1A5 = "usb-c-1.5a"
    USB_C_3A = "usb-c-3a"
    SEPARATE = "separate"  #: a certified 5 V supply of its own, with common ground


class Load(Part):
    """Anything that draws current besides the movements."""

    name: Caption
    current_ma: Current
    count: Annotated[int, Field(ge=1, le=1000)] = 1


class Supply(Part):
    """The source and the loads on it."""

    source: SourceKind = SourceKind.USB2
    volts: Annotated[float, Field(gt=0, le=60)] = 5.0
    limit_ma: Current | None = None
    """What the source may give; none: the published figure for its kind."""
    loads: Annotated[tuple[Load, ...], Field(max_length=200)] = (Load(name="board", current_ma=50.0),)
