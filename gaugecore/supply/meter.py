"""The states of a panel, and what the meter said in them."""

from __future__ import annotations

from enum import Enum
from typing import Self

from pydantic import model_validator

from gaugecore.values import Caption, Current, Part


class When(Enum):
    """When a load is on."""

    ALWAYS = "always"
    BACK_LIGHT = "back-light"  #: with the lights of the panel
    LAMP = "lamp"  #: an indicator; all of them together only in the lamp test


class State(Enum):
    """What the panel is doing; each state adds to the one before, save the last."""

    ALL_OFF = "all-off"  #: board alone, movements at rest
    BACK_LIGHT = "back-light"  #: and the back-light
    LAMP_TEST = "lamp-test"  #: and every lamp
    ONE_MOVING = "one-moving"  #: and the hungriest movement turning
    ALL_MOVING = "all-moving"  #: and all movements turning
    ONE_STALLED = "one-stalled"  #: every lamp, the hungriest movement held fast, the others at rest

    @property
    def lit(self) -> frozenset[When]:
        """Return which loads are on."""
        if self is State.ALL_OFF:
            return frozenset({When.ALWAYS})
        if self is State.BACK_LIGHT:
            return frozenset({When.ALWAYS, When.BACK_LIGHT})
        return frozenset(When)


class MeterReading(Part):
    """One current read off a meter between source and panel."""

    state: State
    current_ma: Current
    only: Caption = ""
    """Name of the one load or LED string switched on over the all-off state; empty: the whole state."""
    note: Caption = ""

    @model_validator(mode="after")
    def _one_load_is_on_its_own(self) -> Self:
        if self.only and self.state is not State.ALL_OFF:
            raise ValueError(
                f"a reading of {self.only!r} alone is taken over the state all-off, not {self.state.value}"
            )
        return self
