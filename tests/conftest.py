"""What every test runs under: chosen examples that stay the same, and no screen."""

from __future__ import annotations

import os

from hypothesis import settings

from tests.private_libraries import load_private_libraries

load_private_libraries()
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
settings.register_profile("same", derandomize=True, deadline=None, database=None)
settings.load_profile("same")
