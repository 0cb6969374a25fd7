"""The day readings were taken: from what the user says or the file says; nobody else knows it."""

from __future__ import annotations

import datetime
import re

from gaugecore.errors import InputError

_DATE = re.compile(r"(?<![\d-])\d{4}-\d{2}-\d{2}(?![\d-])")


def date_in_comment(text: str) -> str | None:
    r"""Return the ISO date in the first comment of a readings file, None when there is none.

    Examples
    --------
    >>> date_in_comment("# Flaps, 2026-03-14\ncommand,angle_deg\n1500,0\n")
    '2026-03-14'
    >>> date_in_comment("command,angle_deg,note\n1500,0,2026-03-14\n") is None
    True
    """
    for line in text.removeprefix("\ufeff").splitlines():
        if not line.strip():
            continue
        if not line.lstrip().startswith("#"):
            return None
        return next((day for day in _DATE.findall(line) if _is_a_day(day)), None)
    return None


def checked_date(text: str, *, where: str) -> str:
    """Return a date that the user typed.

    Raises
    ------
    InputError
        If there is no such day.
    """
    if not _DATE.fullmatch(text) or not _is_a_day(text):
        raise InputError("not a day", where=where, found=text, accepted="year-month-day, as in 2026-03-14")
    return text


def _is_a_day(text: str) -> bool:
    try:
        datetime.date.fromisoformat(text)
    except ValueError:
        return False
    return True
