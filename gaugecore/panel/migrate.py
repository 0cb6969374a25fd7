"""Older panel files brought up to date, one version at a time.

A step takes the data of one version and returns that of the next; it is never changed once released, and a
sample of each version stays in the tests.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from gaugecore.errors import DocumentError, Fault
from gaugecore.panel.document import VERSION

Step = Callable[[dict[str, Any]], dict[str, Any]]

#: The step that leaves each version.
STEPS: dict[int, Step] = {}


def migrated(data: dict[str, Any], *, where: str, steps: dict[int, Step] | None = None) -> dict[str, Any]:
    """Return a panel's data in this version's form.

    Parameters
    ----------
    data : dict
        JSON data with an integer ``version``, at most this one.
    where : str
        Name of the file, for messages.
    steps : dict, optional
        The steps to use instead of the released ones, for tests.

    Raises
    ------
    DocumentError
        If no step leads on from a version.
    """
    steps = STEPS if steps is None else steps
    while (version := data["version"]) < VERSION:
        if version not in steps:
            raise DocumentError(
                Fault(what="this version of the panel format was never released", found=version), where=where
            )
        data = {**steps[version](data), "version": version + 1}
    return data
