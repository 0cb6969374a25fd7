"""Builds the C sources once a session, outside the tree."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.firmware.builds import BENCH, BENCH_CORE, COMPILERS, build_avr, build_host, build_simulator
from tests.firmware.host_bench import HostBench
from tests.firmware.host_needle import HostNeedle
from tests.firmware.simboard import MCUS, SimBoard


@pytest.fixture(scope="session", params=COMPILERS)
def host_needle(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[HostNeedle]:
    """The runtime on this machine, sanitised, built by each compiler."""
    folder: Path = tmp_path_factory.mktemp("host")
    needle = HostNeedle(build_host(request.param, folder, "host_needle.c", "nw_needle.c"))
    yield needle
    needle.close()


@pytest.fixture(scope="session", params=COMPILERS)
def host_bench(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[HostBench]:
    """The bench program on this machine, sanitised, built by each compiler."""
    board = HostBench(build_host(request.param, tmp_path_factory.mktemp("host"), "host_bench.c", *BENCH_CORE))
    yield board
    board.close()


Switched = Callable[..., SimBoard]


@pytest.fixture(scope="session")
def simulator(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The harness over libsimavr."""
    return build_simulator(tmp_path_factory.mktemp("simulator"))


@pytest.fixture(scope="session")
def bench_programs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The bench program for each microcontroller."""
    folder = tmp_path_factory.mktemp("bench")
    return {mcu: build_avr(mcu, folder / f"{mcu}.elf", *BENCH) for mcu in MCUS}


@pytest.fixture
def switch_on(simulator: Path) -> Iterator[Switched]:
    """Return a function that powers a microcontroller up with a program, and maybe a memory."""
    boards: list[SimBoard] = []

    def switch_on(mcu: str, program: Path, memory: bytes = b"") -> SimBoard:
        boards.append(SimBoard(simulator, mcu, program, memory))
        return boards[-1]

    yield switch_on
    for board in boards:
        board.close()


@pytest.fixture(params=MCUS)
def board(request: pytest.FixtureRequest, switch_on: Switched, bench_programs: dict[str, Path]) -> SimBoard:
    """A board with the bench program, as from the factory, greeted; once for each microcontroller."""
    board = switch_on(request.param, bench_programs[request.param])
    board.greet()
    return board
