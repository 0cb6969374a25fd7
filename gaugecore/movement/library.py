"""Movements to choose from: generic classes with typical figures, and the user's own.

No figure here is a promise. Each says where it comes from; all are typical, measure yours.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, ValidationError

from gaugecore.errors import DocumentError, Fault, OutputError
from gaugecore.files import read_at_most, write_whole
from gaugecore.movement.servo import Servo
from gaugecore.movement.stepper import CoilDrive, Stepper
from gaugecore.plain_words import plain_message
from gaugecore.values import Part

_PRACTICE = "typical, measure yours: common practice, no source"

GENERIC: Mapping[str, Servo | Stepper] = {
    "servo-9g-analogue": Servo(
        name="9 g class analogue servo",
        source="typical, measure yours: torque and stall current from makers' articles; rest common practice",
        torque_mnm=157.0,  # 1.6 kgf·cm at 5 V
    ),
    "servo-9g-digital": Servo(
        name="9 g class digital servo",
        dead_band_us=3.0,
        seconds_per_60_deg=0.10,
        torque_mnm=176.0,  # 1.8 kgf·cm
        idle_ma=15.0,
        moving_ma=180.0,
        stall_ma=900.0,
        source="typical, measure yours: torque and stall current from makers' articles; rest common practice",
    ),
    "servo-standard": Servo(
        name="standard servo",
        dead_band_us=6.0,
        slack_deg=0.7,
        seconds_per_60_deg=0.18,
        run_up_s=0.04,
        torque_mnm=350.0,
        idle_ma=10.0,
        moving_ma=250.0,
        stall_ma=1200.0,
        source=_PRACTICE,
    ),
    "servo-low-profile": Servo(
        name="low-profile servo",
        dead_band_us=4.0,
        slack_deg=0.7,
        seconds_per_60_deg=0.12,
        run_up_s=0.03,
        torque_mnm=250.0,
        idle_ma=15.0,
        moving_ma=250.0,
        stall_ma=1200.0,
        source=_PRACTICE,
    ),
    "gauge-stepper-315": Stepper(
        name="gauge stepper, 315°",
        source="typical, measure yours: 1/3° a step, 260 Ω from public firmware and notes; rest memory",
    ),
    "hybrid-28mm": Stepper(
        name="1.8° hybrid, 28 mm",
        steps_per_turn=200.0,
        microsteps=16,
        travel_deg=360.0,
        has_stop=False,
        home_steps_per_s=50.0,
        most_steps_per_s=800.0,
        torque_mnm=60.0,
        inertia_gmm2=900.0,
        slack_deg=0.0,
        coil_ohm=5.6,
        coil_ma=300.0,
        drive=CoilDrive.DRIVER,
        source="typical, measure yours: step error from a maker's forum; rest common practice",
    ),
    "hybrid-42mm": Stepper(
        name="1.8° hybrid, 42 mm",
        steps_per_turn=200.0,
        microsteps=16,
        travel_deg=360.0,
        has_stop=False,
        home_steps_per_s=50.0,
        most_steps_per_s=800.0,
        torque_mnm=260.0,
        inertia_gmm2=3500.0,
        slack_deg=0.0,
        coil_ohm=3.0,
        coil_ma=700.0,
        drive=CoilDrive.DRIVER,
        source="typical, measure yours: step error from a maker's forum; rest common practice",
    ),
}
"""Generic movements by a short key."""

#: A library of a thousand movements is well below this.
_LARGEST_BYTES = 4 * 1024 * 1024


class Library(Part):
    """The user's own movements, in a file of their own."""

    format: Literal["needlewright-movements"] = "needlewright-movements"
    version: Literal[1] = 1
    movements: Annotated[
        tuple[Annotated[Servo | Stepper, Field(discriminator="kind")], ...], Field(max_length=1000)
    ] = ()

    def with_movement(self, movement: Servo | Stepper) -> Library:
        """Return the library with a movement added, in place of one with the same name."""
        others = tuple(m for m in self.movements if m.name != movement.name)
        return self.model_copy(update={"movements": (*others, movement)})


def load_library(path: Path) -> Library:
    """Return the library in a file; an empty one when there is no such file yet.

    Raises
    ------
    DocumentError
        If the file cannot be read or is not a library; carries every fault.
    """
    try:
        if not path.exists():
            return Library()
        content = read_at_most(path, _LARGEST_BYTES)
    except OSError as error:
        raise DocumentError(
            Fault(what=f"cannot read the file ({error.strerror or error})"), where=str(path)
        ) from error
    if content is None:
        raise DocumentError(Fault(what="the file is too large for a library"), where=str(path))
    try:
        return Library.model_validate_json(content)
    except ValidationError as error:
        faults = [
            Fault(
                what=plain_message(detail["type"], detail["msg"], detail.get("ctx")),
                where=".".join(str(step) for step in detail["loc"]),
            )
            for detail in error.errors(include_url=False)
        ]
        raise DocumentError(*faults, where=str(path)) from error


def save_library(library: Library, path: Path) -> None:
    """Put a library into its file, whole, making its folder if need be.

    Raises
    ------
    OutputError
        If the file cannot be written; the old one is untouched.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"cannot make the folder ({error.strerror or error})",
            where=str(path.parent),
            accepted="a place that exists and is writable",
        ) from error
    write_whole(path, (library.model_dump_json(indent=2) + "\n").encode())


def own_library_path() -> Path:
    """Return where the user's own movements are kept, for all panels."""
    from platformdirs import user_data_path

    return user_data_path("needlewright") / "movements.json"


def movements_to_choose_from(own: Library) -> dict[str, Servo | Stepper]:
    """Return the user's own movements by name, then the generic classes by key.

    Examples
    --------
    >>> list(movements_to_choose_from(Library()))[:2]
    ['servo-9g-analogue', 'servo-9g-digital']
    """
    return {movement.name: movement for movement in own.movements} | dict(GENERIC)


def remember(movement: Servo | Stepper, path: Path) -> Library:
    """Put a movement into the user's own library, in place of one with the same name.

    Raises
    ------
    DocumentError
        If the library's file is damaged; it is left as it is.
    OutputError
        If the file cannot be written; the old one is untouched.
    """
    library = load_library(path).with_movement(movement)
    save_library(library, path)
    return library
