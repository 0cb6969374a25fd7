"""The table as a value: raw value to command in whole numbers, exactly as the firmware computes it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from gaugecore.calibration.readings import Direction
from gaugecore.errors import TableError
from gaugecore.table.knots import FreeKnots
from gaugecore.table.places import Integers, Places
from gaugecore.table.points import Points
from gaugecore.table.target import Limits, Target
from gaugecore.table.uniform import Uniform

Form = Uniform | FreeKnots
OutputUnit = Literal["us", "ticks", "steps"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Where a table comes from, for the comment block of what is written.

    Attributes
    ----------
    name : str
        Short name the identifiers are made of: lower case letters, digits, hyphens.
    panel, instrument : str
        Titles, any text; empty when there is none.
    fitted_on : str
        Date of the readings behind the fit; empty when not stated.
    """

    name: str
    panel: str = ""
    instrument: str = ""
    fitted_on: str = ""

    @classmethod
    def named(cls, name: str) -> Origin:
        """Return an origin that only has a name.

        Raises
        ------
        TableError
            If no identifier can be made of the name.
        """
        if not re.fullmatch(r"[a-z][a-z0-9-]{0,39}", name):
            raise TableError(
                "a table's name becomes file names and identifiers",
                found=name,
                accepted="a lower-case letter, then lower-case letters, digits and hyphens, 40 at most",
            )
        return cls(name=name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The integer map from raw value to command.

    Attributes
    ----------
    origin : Origin
        Where it comes from.
    places : Places
        The raw range and the way into it.
    up, down : Form
        The map for a needle that arrives with rising (falling) dial angle; ``down`` is None when one map
        serves both.
    up_with_raw : bool
        Whether a rising raw value makes the dial angle rise.
    hysteresis : int
        How far the raw value must turn back before the other map is used.
    limits : Limits
        The lowest and highest integer that may ever be sent, in output units.
    unit : {"us", "ticks", "steps"}
        Unit of the integers.
    ticks_per_unit : float
        Output units to one unit of the fit's commands (µs or steps).
    pinned_raw : tuple of int
        Raw values at which the nearest integer was insisted on.
    worst_error : float
        Largest distance from the fit over every raw value, rounding included, in output units.
    flash_bytes : int
        About how much program memory it takes on an 8-bit AVR, code included; never less than it does.
    choice : str
        Why this form was kept, one sentence.
    points : tuple of Points
        The readable form of each map; none where nobody asked for it.
    """

    origin: Origin
    places: Places
    up: Form
    down: Form | None = None
    up_with_raw: bool = True
    hysteresis: int = 0
    limits: Limits
    unit: OutputUnit
    ticks_per_unit: float = 1.0
    pinned_raw: tuple[int, ...] = ()
    worst_error: float
    flash_bytes: int = 0
    choice: str = field(default="", compare=False)
    points: tuple[Points, ...] = ()

    @property
    def worst_error_in_commands(self) -> float:
        """Return the worst error in the fit's unit, µs or steps."""
        return self.worst_error / self.ticks_per_unit

    @property
    def branches(self) -> tuple[Form, ...]:
        """Return the maps it holds, one or two."""
        return (self.up,) if self.down is None else (self.up, self.down)

    def commands(self, raw: ArrayLike, direction: Direction = Direction.UP) -> Integers:
        """Return the integers for raw values, clamped to the raw range.

        Parameters
        ----------
        raw : array_like of int, shape (n,)
            Raw values.
        direction : Direction
            How the needle arrives; without a map of its own it makes no difference.

        Returns
        -------
        ndarray of int, shape (n,)
            Commands in output units.
        """
        cells = self.places.cells(np.atleast_1d(np.asarray(raw)))
        return self._form(direction).outputs(cells << self.places.left_shift)

    def command(self, raw: int, direction: Direction = Direction.UP) -> int:
        """Return the integer for one raw value, clamped to the raw range."""
        return int(self.commands(raw, direction)[0])

    def cell_outputs(self, direction: Direction = Direction.UP) -> Integers:
        """Return the integer of every cell, rising."""
        return self._form(direction).outputs(self.places.all_places())

    def _form(self, direction: Direction) -> Form:
        return self.down if self.down is not None and direction is Direction.DOWN else self.up


def verified_error(form: Form, target: Target, limits: Limits) -> float:
    """Return the worst error of a map over every raw value, once it is found sound.

    Raises
    ------
    TableError
        If it steps back, or leaves the limits: a fault of this program, caught before anything is written.
    """
    outputs = form.outputs(target.places.all_places())
    if (np.diff(outputs) < 0).any():
        raise TableError("the table steps back, which a needle must not; this is a fault of the program")
    if outputs[0] < limits.lowest or outputs[-1] > limits.highest:
        raise TableError("the table leaves the limits; this is a fault of the program")
    return float(target.errors(outputs).max())
