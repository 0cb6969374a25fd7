"""Coverage-guided fuzzing of the C sources: clang's libFuzzer, with the sanitizers on."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

_WARNINGS = ("-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Werror")
_SANITISED = ("-fsanitize=fuzzer,address,undefined", "-fno-sanitize-recover=all")
_LONGEST_INPUT = 2048


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuzzed:
    """What a run came to.

    Attributes
    ----------
    runs : int
        Inputs tried.
    coverage : int
        Places of the program reached, as libFuzzer counts them.
    corpus : int
        Inputs kept because they reached something new.
    """

    runs: int
    coverage: int
    corpus: int


def build_fuzzer(target: Path, *sources: Path, include: Sequence[Path] = ()) -> Path:
    """Build a fuzz target with the sources it exercises, and return it."""
    flags = (*_WARNINGS, *_SANITISED, "-O1", "-g", *(f"-I{folder}" for folder in include))
    done = subprocess.run(
        ["clang", *flags, *map(str, sources), "-o", str(target)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{done.stderr[-3000:]}\napt-get install clang libclang-rt-14-dev"
    return target


def fuzz(
    program: Path, *, runs: int, seeds: Mapping[str, bytes], words: Sequence[str] = (), seed: int = 1
) -> Fuzzed:
    """Run a fuzz target on so many inputs; what it finds is the failure.

    Parameters
    ----------
    program : Path
        From `build_fuzzer`.
    runs : int
        Inputs to try.
    seeds : mapping of str to bytes
        Inputs to start from.
    words : sequence of str
        What an input may be made of.
    seed : int
        Of libFuzzer's own chance.
    """
    corpus = program.with_suffix(".corpus")
    corpus.mkdir(exist_ok=True)
    for name, content in seeds.items():
        (corpus / name).write_bytes(content)
    options = [f"-runs={runs}", f"-seed={seed}", f"-max_len={_LONGEST_INPUT}"]
    if words:
        dictionary = program.with_suffix(".dict")
        dictionary.write_text("".join(f'"{word}"\n' for word in words), "ascii")
        options.append(f"-dict={dictionary}")
    done = subprocess.run(
        [str(program), *options, f"-artifact_prefix={program}-", str(corpus)],
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
    )
    assert done.returncode == 0, done.stderr[-4000:]
    last = re.findall(r"#(\d+)\s+DONE\s+cov: (\d+).*corp: (\d+)", done.stderr)[-1]
    return Fuzzed(runs=int(last[0]), coverage=int(last[1]), corpus=int(last[2]))
