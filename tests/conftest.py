"""Where the random tests get their chance from.

On a developer's machine hypothesis tries other examples every time. In CI it tries the same ones, so that a
landing fails for what it changed and not for what nobody had met before.
"""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "here")
