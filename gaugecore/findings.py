"""What a check has to say.

Checks collect findings and never raise for a bad design; only input that cannot be understood raises.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum

from gaugecore.polar import Point


def as_sentence(text: str) -> str:
    """Return a text with a capital at its start and a full stop at its end; empty stays empty.

    Examples
    --------
    >>> as_sentence("join the grounds at one point")
    'Join the grounds at one point.'
    """
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?…" else ".")


class Severity(Enum):
    """How much a finding matters."""

    FAULT = "fault"  #: the thing made from this will not do its job, or could do harm
    CAUTION = "caution"  #: it will work, less well than it could
    NOTE = "note"  #: worth knowing

    @property
    def rank(self) -> int:
        """Return 0 for the worst."""
        return list(Severity).index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing a check found.

    Attributes
    ----------
    rule : str
        Short stable name of the rule, words joined by hyphens.
    severity : Severity
        How much it matters.
    place : str
        Path in the panel, such as ``instruments.rudder.face.numerals``.
    message : str
        What is the matter, one sentence.
    measured, wanted : str
        The figure found and the figure the rule asks for, with units.
    source : str
        Standard, handbook or data sheet; "common practice, no source"; "from memory" where it is.
    remedy : str
        What to do about it.
    at_mm : tuple of float or None
        Where on the face, in sheet coordinates, when it can be pointed at.
    """

    rule: str
    severity: Severity
    place: str
    message: str
    measured: str = ""
    wanted: str = ""
    source: str = ""
    remedy: str = ""
    at_mm: Point | None = None

    def __post_init__(self) -> None:
        # many rooms write findings; people read them in one list
        object.__setattr__(self, "message", as_sentence(self.message))
        object.__setattr__(self, "remedy", as_sentence(self.remedy))

    def within(self, prefix: str) -> Finding:
        """Return the same finding with its place moved below a prefix."""
        return replace(self, place=f"{prefix}.{self.place}" if self.place else prefix)


def worst(findings: Iterable[Finding]) -> Severity | None:
    """Return the worst severity among findings, None when there are none."""
    return min((f.severity for f in findings), key=lambda severity: severity.rank, default=None)
