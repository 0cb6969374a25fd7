"""The fuzzer's wheels exist for Linux on x86-64 only; there, it is always installed and always run."""

from __future__ import annotations

import platform
import sys

HAS_FUZZER = sys.platform == "linux" and platform.machine() == "x86_64"
collect_ignore = [] if HAS_FUZZER else ["test_fuzz.py", "__main__.py"]
