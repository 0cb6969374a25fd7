"""``python -m tests.fuzz TARGET [libFuzzer options]``, such as ``-runs=1000000 -max_len=4096``."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import atheris

SAMPLES = Path(__file__).parents[2] / "samples"
#: Samples to start from, by target.
SEEDS = {"panel": "*.panel.json", "readings": "*.readings.csv"}


def main(words: list[str]) -> None:
    """Fuzz one target until libFuzzer has had enough."""
    with atheris.instrument_imports(include=["gaugecore"]):
        from tests.fuzz.targets import TARGETS
    name, *options = words
    with TemporaryDirectory() as corpus:
        for seed in SAMPLES.glob(SEEDS.get(name, "none")):
            (Path(corpus) / seed.name).write_bytes(seed.read_bytes())
        atheris.Setup([sys.argv[0], corpus, *options], TARGETS[name])
        atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
