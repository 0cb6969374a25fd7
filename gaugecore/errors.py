"""The errors this project raises on purpose, drawn once.

::

    NeedlewrightError          says what, where, what was found, what is accepted
    ├── InputError             something given cannot be used            (terminal: exit 2)
    │   ├── DocumentError      a panel file, with every fault it has
    │   ├── ReadingsError      a readings file or a set of readings
    │   ├── DesignError        a face or a part that cannot be drawn as asked
    │   ├── FitError           a fit that cannot be made or used as asked
    │   └── TableError         a table that cannot be made as asked
    ├── OutputError            a result cannot be put where asked        (terminal: exit 2)
    └── BoardError             the hardware                              (terminal: exit 3)
        ├── PortError          the port cannot be opened, or went away
        ├── NoAnswerError      nothing came back in time
        ├── ProtocolError      what came back makes no sense
        └── RefusedError       the board said no, and why

Errors of libraries are translated into these where they arise, with ``from``.
"""

from __future__ import annotations

from dataclasses import dataclass

_LONGEST_QUOTE = 80


def quoted(found: object) -> str:
    r"""Return a short one-line form of anything, fit for a sentence.

    Examples
    --------
    >>> quoted("a\nb")
    "'a\\nb'"
    >>> quoted(2.5)
    '2.5'
    """
    text = repr(found) if isinstance(found, str) else f"{found}"
    text = " ".join(text.split())
    return text if len(text) <= _LONGEST_QUOTE else text[: _LONGEST_QUOTE - 1] + "…"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong with something the user gave.

    Attributes
    ----------
    what : str
        What is wrong, a clause without a full stop.
    where : str
        File, row, or field path; empty when there is only one place it can be.
    found : object
        The offending value; None when there is none to show.
    accepted : str
        What would be taken instead.
    """

    what: str
    where: str = ""
    found: object = None
    accepted: str = ""

    def sentence(self) -> str:
        """Return the fault as one line."""
        # a place may be a file's name, and that may hold a line feed
        where = self.where if self.where.isprintable() else quoted(self.where)
        text = f"{where}: {self.what}" if where else self.what
        if self.found is not None:
            text += f", found {quoted(self.found)}"
        if self.accepted:
            text += f"; accepted: {self.accepted}"
        return text


class NeedlewrightError(Exception):
    r"""Base of every error raised on purpose; its text is one line.

    Examples
    --------
    >>> print(InputError("radius must be positive", where="face.diameter_mm", found=0,
    ...                  accepted="more than 0 mm"))
    face.diameter_mm: radius must be positive, found 0; accepted: more than 0 mm
    >>> print(InputError("no such file", where="a\nb.csv"))
    'a\nb.csv': no such file
    """

    def __init__(self, what: str, *, where: str = "", found: object = None, accepted: str = "") -> None:
        self.fault = Fault(what=what, where=where, found=found, accepted=accepted)
        super().__init__(self.fault.sentence())


class InputError(NeedlewrightError, ValueError):
    """Something the user gave cannot be used."""


class DocumentError(InputError):
    """A panel file cannot be used; carries every fault found in it.

    Attributes
    ----------
    faults : tuple of Fault
        In the order of the file, at least one.
    """

    def __init__(self, *faults: Fault, where: str = "") -> None:
        self.faults = faults
        said = "; ".join(fault.sentence() for fault in faults)
        count = "" if len(faults) == 1 else f"{len(faults)} faults: "
        super().__init__(count + said, where=where)


class ReadingsError(InputError):
    """A readings file, or a set of readings, cannot be used."""


class DesignError(InputError):
    """A face or a part cannot be drawn as asked."""


class FitError(InputError):
    """A fit cannot be made, or cannot be asked this."""


class TableError(InputError):
    """A table cannot be made as asked."""


class OutputError(NeedlewrightError):
    """A result cannot be put where it was asked to go; nothing was half-written."""


class BoardError(NeedlewrightError):
    """The board, or the way to it, failed."""


class PortError(BoardError):
    """The port cannot be opened, or went away while in use."""


class NoAnswerError(BoardError):
    """The board did not answer in time."""


class ProtocolError(BoardError):
    """The board answered something that makes no sense."""


class RefusedError(BoardError):
    """The board understood and refused; its reason is in the text."""
