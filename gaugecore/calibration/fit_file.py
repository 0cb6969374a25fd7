"""Fit files: what ``fit --out`` writes, read back."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from gaugecore.calibration.result import Fit
from gaugecore.errors import FitError
from gaugecore.files import read_at_most
from gaugecore.plain_words import plain_message

#: A fit of 100,000 knots stays below this; a larger file is something else.
LARGEST_BYTES = 8_000_000
_ACCEPTED = "a file written by: needlewright fit READINGS.csv --out FIT.json"


def read_fit(path: Path) -> Fit:
    """Return the fit in a file.

    Raises
    ------
    FitError
        If the file cannot be read, is not a fit, or its map does not run one way.
    """
    try:
        content = read_at_most(path, LARGEST_BYTES)
    except OSError as error:
        raise FitError(f"cannot read the file ({error.strerror or error})", where=str(path)) from error
    if content is None:
        accepted = f"at most {LARGEST_BYTES // 1_000_000} MB"
        raise FitError("the file is too large for a fit", where=str(path), accepted=accepted)
    return parse_fit(content, where=str(path))


def parse_fit(content: bytes, *, where: str) -> Fit:
    """Return the fit in the content of a file.

    Raises
    ------
    FitError
        If it is not a fit, or its map does not run one way.
    """
    try:
        return Fit.model_validate_json(content)
    except ValidationError as error:
        fault = error.errors(include_url=False)[0]
        place = ".".join(str(step) for step in fault["loc"])
        more = f" (and {error.error_count() - 1} more faults)" if error.error_count() > 1 else ""
        said = plain_message(fault["type"], fault["msg"], fault.get("ctx"))
        raise FitError(
            f"not a usable fit: {place + ': ' if place else ''}{said}{more}",
            where=where,
            accepted=_ACCEPTED,
        ) from error
