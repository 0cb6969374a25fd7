"""Where the random tests get their chance from, and where the tests keep house.

On a developer's machine hypothesis tries other examples every time. In CI it tries the same ones, so that a
landing fails for what it changed and not for what nobody had met before.
"""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import settings

settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "here")


@pytest.fixture(autouse=True, scope="session")
def _home_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Locks, recovery files and last sittings of the tests never land among the user's own."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        for name in ("XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "LOCALAPPDATA", "APPDATA"):
            patch.setenv(name, str(home))
        yield
