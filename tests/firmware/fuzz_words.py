"""What the fuzzer of the bench program starts from: the words of the protocol, and a few sessions."""

from __future__ import annotations

import random
import zlib
from pathlib import Path

from gaugecore.board.messages import frame
from gaugecore.board.stored_table import StoredTable
from tests.firmware.builds import BENCH_CORE, HERE, SOURCES
from tests.firmware.oracle import VERBS, Mischief
from tests.fuzzing import build_fuzzer

WORDS = (
    *(f" {verb} " for verb in VERBS),
    " relax",
    " park",
    " 0 2000 4000",
    "1 hello 1\\x0a",
    "T\\x0a",
    "P\\x0a",
)


def build(folder: Path) -> Path:
    """Build the fuzz target of the bench program."""
    sources = (HERE / "fuzz_bench.c", *(SOURCES / name for name in BENCH_CORE))
    return build_fuzzer(folder / "fuzz_bench", *sources, include=(SOURCES,))


def seeds() -> dict[str, bytes]:
    """Return sessions to start from: on the wire, and to be given their CRC by the target."""
    mischief = Mischief(random.Random(3), channels=3)
    long = [f"{i} {mischief.request()}"[:72].strip() for i in range(2, 20)]
    sessions = {
        "moves": ["1 hello 1", "2 limits 0 1500 4500", "3 move 0 1500", "T", "4 move 0 4501", "5 relax 0"],
        "power": [
            "1 hello 1",
            "2 limits 1 2100 3900",
            "3 loss 1 park 3000",
            "4 move 1 3900",
            "T",
            "P",
            "1 hello 1",
        ],
        "upload": ["1 hello 1", *_upload(), "P", "1 hello 1", "2 raw 0 300", "T", "T"],
        "random": ["1 hello 1", *long],
    }
    dressed = {name: b"\x01" + "\n".join([*lines, ""]).encode() for name, lines in sessions.items()}
    wire = {
        f"{name}-wire": b"\x00" + b"".join(frame(line) for line in lines if len(line) > 1)
        for name, lines in sessions.items()
    }
    return dressed | wire


def _upload() -> list[str]:
    content = StoredTable(((0, 2000), (400, 3000), (1000, 4000))).to_bytes()
    requests = [f"begin 0 {len(content)}"]
    requests += [f"block 0 {i} {content[i : i + 24].hex().upper()}" for i in range(0, len(content), 24)]
    requests += [f"commit 0 {zlib.crc32(content):08X}", "raw 0 700"]
    return [f"{i} {request}" for i, request in enumerate(requests, 2)]
