"""The stock that plates are cut from."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from gaugecore.values import Caption, Length, LengthOrZero, Part

StockNumber = Annotated[int, Field(ge=0, lt=20)]
"""Which stock of the panel a plate is cut from, counted from 0."""


class Stock(Part):
    """One kind of sheet material."""

    name: Caption = "cast acrylic, 3 mm"
    width_mm: Length = 300.0
    height_mm: Length = 200.0
    thickness_mm: Length = 3.0
    kerf_mm: Annotated[float, Field(ge=0, le=2)] = 0.2
    """Measured width of the cut; about 0.2 mm is typical, measure yours."""
    margin_mm: LengthOrZero = 5.0
    gap_mm: LengthOrZero = 3.0
