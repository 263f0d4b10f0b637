"""Where the desk's tests draw: without a screen unless one is named, and dressed as the program is."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from queueplanner.desk.theme import Appearance, Theme, apply_theme, make_theme


@pytest.fixture(params=[Appearance.LIGHT, Appearance.DARK], ids=["light", "dark"])
def theme(request, qapp: QApplication) -> Theme:
    """The desk's look, in both palettes."""
    made = make_theme(request.param)
    apply_theme(qapp, made)
    return made


@pytest.fixture
def light(qapp: QApplication) -> Theme:
    """The light look, for what does not depend on colours."""
    made = make_theme(Appearance.LIGHT)
    apply_theme(qapp, made)
    return made


@pytest.fixture(autouse=True)
def record_of_its_own(monkeypatch, tmp_path) -> None:
    """No test touches the record of whoever runs it."""
    monkeypatch.setenv("QUEUEPLANNER_RECORD", str(tmp_path / "record.sqlite"))


@pytest.fixture(autouse=True)
def deletes_what_it_leaves(qapp: QApplication):
    """Widgets of the test before are really gone, so that a new style has none of them to dress."""
    yield
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
