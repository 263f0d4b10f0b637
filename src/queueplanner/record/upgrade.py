"""Bringing an older record to the present schema: all steps in one transaction, or none."""

from __future__ import annotations

import os
from typing import Any

from sqlalchemy import text, update
from sqlalchemy.orm import Session

from queueplanner import __version__
from queueplanner.record.checking import PROGRAM
from queueplanner.record.connection import Database
from queueplanner.record.errors import Busy, CannotWrite, NotUpgraded
from queueplanner.record.faults import told_plainly
from queueplanner.record.places import RecordPlace
from queueplanner.record.schema import MIGRATIONS, Schema
from queueplanner.record.tables import MetaRow


def upgrade(place: RecordPlace, found: str, schema: Schema, wait_s: float) -> None:
    """Migrate a record from the schema `found` to the newest one; another that has done so meanwhile does no harm.

    Raises NotUpgraded, with the record as it was, or CannotWrite and Busy.
    """
    database = Database(place, wait_s, foreign_keys=False)  # tables may have to be built anew under their old names
    try:
        with database.writing() as session:
            _take_steps(session, place, found, schema, wait_s)
    finally:
        database.close()


def _take_steps(session: Session, place: RecordPlace, found: str, schema: Schema, wait_s: float) -> None:
    try:
        with told_plainly(str(place), wait_s):
            _run(configuration(schema, session.connection()), schema.head)
            if place.path is not None and session.execute(text("PRAGMA foreign_key_check")).first() is not None:
                raise ValueError("a row points at one that is not there")
            session.execute(update(MetaRow).where(MetaRow.name == PROGRAM).values(value=__version__))
    except (CannotWrite, Busy):
        raise
    except Exception as error:
        raise NotUpgraded(str(place), found, schema.head, str(error)) from error


def configuration(schema: Schema, connection: Any) -> Any:
    """Alembic's settings; it is loaded only here, since nearly every start does without."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", _escaped(str(MIGRATIONS)))
    config.set_main_option("path_separator", "os")
    config.set_main_option("version_locations", _escaped(os.pathsep.join(map(str, schema.steps))))
    config.attributes["connection"] = connection
    return config


def _run(configuration: Any, head: str) -> None:
    from alembic import command

    command.upgrade(configuration, head)


def _escaped(text_with_percents: str) -> str:
    return text_with_percents.replace("%", "%%")
