"""The house keeps its rule: who may import whom, and who alone knows the window, the database and the solver."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
import tomllib
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "queueplanner"

#: What only one room may import.
ROOM_OF = {
    "PySide6": "desk",
    "pyqtgraph": "desk",
    "sqlite3": "record",
    "sqlalchemy": "record",
    "alembic": "record",
    "psycopg": "record",
    "ortools": "planning",
}


@cache
def imports(path: Path) -> frozenset[str]:
    """The top-level packages a file imports, anywhere in it."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found.add(node.module.partition(".")[0])
    return frozenset(found)


def room(path: Path) -> str:
    """The room a source file lies in."""
    parts = path.relative_to(SOURCE).parts
    return parts[0] if len(parts) > 1 else path.stem


def test_imports_follow_the_layers() -> None:
    command = [sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"]
    done = subprocess.run(
        [*command, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False, env=_environment()
    )
    assert done.returncode == 0, done.stdout + done.stderr


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT / "src"), "PYTHONIOENCODING": "utf-8"}


@pytest.mark.parametrize("package", ROOM_OF)
def test_each_of_these_is_known_in_one_room_only(package: str) -> None:
    strangers = [
        str(path.relative_to(ROOT))
        for path in sorted(SOURCE.rglob("*.py"))
        if package in imports(path) and room(path) != ROOM_OF[package]
    ]
    assert strangers == []


@pytest.mark.parametrize("package", ["pickle", "marshal", "shelve", "yaml"])
def test_nothing_reads_data_that_could_be_code(package: str) -> None:
    assert [str(p) for p in SOURCE.rglob("*.py") if package in imports(p)] == []


def test_every_package_is_installed() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    listed = set(project["tool"]["setuptools"]["packages"])
    found = {".".join(path.parent.relative_to(SOURCE.parent).parts) for path in SOURCE.rglob("__init__.py")}
    assert listed - {"queueplanner.resources", "queueplanner.demo_jobs"} == found


def test_what_is_installed_can_be_locked() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    lines = (ROOT / "requirements.in").read_text(encoding="utf-8").splitlines()
    asked = {_name(line) for line in lines if line and not line.startswith("#")}
    assert {_name(line) for line in project["project"]["dependencies"]} <= asked


def _name(requirement: str) -> str:
    return re.split(r"[;<>=!~\s]", requirement.strip(), maxsplit=1)[0].casefold()
