"""Small words of the terminal's sentences."""

from __future__ import annotations


def counted(number: int, thing: str) -> str:
    """Return a number of things, as one says it.

    Examples
    --------
    >>> counted(1, "piece"), counted(2, "piece"), counted(0, "file")
    ('1 piece', '2 pieces', '0 files')
    """
    return f"{number} {thing}{'' if number == 1 else 's'}"
