"""C sources that go to the board: the runtime, the AVR port, a small program, the bench program.

They are package data; whoever exports a table copies them out beside it. `README.md` among them says what
each is for. Nothing here is imported by the engine's other parts but these three functions.
"""

from __future__ import annotations

from importlib import resources

#: The runtime: what a user's own sketch needs beside the exported table.
RUNTIME = ("nw_needle.h", "nw_needle.c")
#: What the runtime needs of an 8-bit AVR: pulses, steps, the serial line.
AVR_PORT = (
    "avr_board.h",
    "avr_pulses.c",
    "avr_serial.c",
    "avr_stepper.c",
    "nw_coils.h",
    "nw_pulses.h",
    "nw_serial.h",
    "nw_stepper.h",
)
#: The complete small program, but for needles.h, which `needles.needles_header` writes.
PROGRAM = (*RUNTIME, *AVR_PORT, "needle_line.h", "needle_line.c", "needle_main.c", "README.md")


def source(name: str) -> str:
    """Return one of the sources as text.

    Parameters
    ----------
    name : str
        A file name of `names`.

    Raises
    ------
    KeyError
        If there is no such source: a fault of the program that asks.

    Examples
    --------
    >>> source("nw_needle.h").splitlines()[1]
    ' * One needle: from raw values, or commands, to what its movement is sent.'
    """
    if name not in names():
        raise KeyError(name)
    return (resources.files(__package__) / name).read_text(encoding="utf-8")


def names() -> tuple[str, ...]:
    """Return the names of all sources, README included, in alphabetical order."""
    there = (entry.name for entry in resources.files(__package__).iterdir())
    return tuple(sorted(name for name in there if name.endswith((".c", ".h", ".md"))))


def sources(*chosen: str) -> dict[str, bytes]:
    """Return sources by file name, ready for `gaugecore.files.write_outputs`.

    Parameters
    ----------
    *chosen : str
        Names; none: all of them.
    """
    return {name: source(name).encode("utf-8") for name in chosen or names()}
