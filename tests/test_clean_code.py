"""The sources are clean by the linter and under strict typing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize("words", [["ruff", "check", "."], ["mypy"]], ids=["linter", "strict typing"])
def test_sources_are_clean(words: list[str]) -> None:
    ended = subprocess.run([sys.executable, "-m", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stdout + ended.stderr
