"""Builds the C sources once a session, outside the tree."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.firmware.builds import COMPILERS, build_host
from tests.firmware.host_needle import HostNeedle


@pytest.fixture(scope="session", params=COMPILERS)
def host_needle(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[HostNeedle]:
    """The runtime on this machine, sanitised, built by each compiler."""
    folder: Path = tmp_path_factory.mktemp("host")
    needle = HostNeedle(build_host(request.param, folder, "host_needle.c", "nw_needle.c"))
    yield needle
    needle.close()


Build = Callable[[str], Path]
