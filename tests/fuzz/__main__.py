"""``python -m tests.fuzz TARGET [libFuzzer options]``, such as ``-runs=1000000 -max_len=4096``."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import atheris


def main(words: list[str]) -> None:
    """Fuzz one target until libFuzzer has had enough."""
    with atheris.instrument_imports(include=["gaugecore"]):
        from tests.fuzz.seeds import seeds
        from tests.fuzz.targets import TARGETS
    name, *options = words
    with TemporaryDirectory() as corpus:
        for number, seed in enumerate(seeds(name)):
            (Path(corpus) / str(number)).write_bytes(seed)
        atheris.Setup([sys.argv[0], corpus, *options], TARGETS[name])
        atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
