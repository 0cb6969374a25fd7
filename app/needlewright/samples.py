"""Where the samples are: beside the package when installed, at the top of the tree when not."""

from __future__ import annotations

from pathlib import Path

from gaugecore.errors import InputError
from gaugecore.panel.store import SUFFIX

_HERE = Path(__file__).parent
_PLACES = (_HERE / "samples", _HERE.parent.parent / "samples")


def samples_folder() -> Path:
    """Return the folder of the samples."""
    return next((place for place in _PLACES if place.is_dir()), _PLACES[-1])


def sample_names() -> tuple[str, ...]:
    """Return the names that ``new --like`` takes."""
    return tuple(sorted(path.name.removesuffix(SUFFIX) for path in samples_folder().glob("*" + SUFFIX)))


def sample_path(name: str) -> Path:
    """Return the panel file of a sample.

    Raises
    ------
    InputError
        If there is no sample of this name.
    """
    if name not in sample_names():
        raise InputError("there is no such sample", found=name, accepted=", ".join(sample_names()))
    return samples_folder() / (name + SUFFIX)
