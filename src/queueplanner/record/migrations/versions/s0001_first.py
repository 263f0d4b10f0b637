"""The first schema."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make every table."""
    op.create_table(
        "meta",
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_meta")),
    )
    _actions()
    _events()
    _versioned("jobs", _text("key"))
    _versioned("list_items", _text("kind"), _text("key"))
    _versioned("days", _text("press"), _text("day", 10))
    _versioned("orders", _text("press"), _text("day", 10), _text("name"))
    _versioned("learned", _text("key"), version_in_key=True)
    _releases()


def _actions() -> None:
    op.create_table(
        "actions",
        _number("id"),
        _text("name"),
        sa.Column("facts", sa.Text(), nullable=False),
        _text("station"),
        _text("role"),
        _number("moment"),
        sa.Column("changes", sa.Text(), nullable=False),
        sa.Column("undoes", sa.BigInteger()),
        sa.Column("redoes", sa.BigInteger()),
        _text("standing", 8),
        _text("seal", 64),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_actions")),
        sa.CheckConstraint("standing IN ('stands', 'undone', 'buried', 'fixed')", name=op.f("ck_actions_standing")),
        sa.ForeignKeyConstraint(["undoes"], ["actions.id"], name=op.f("fk_actions_undoes_actions")),
        sa.ForeignKeyConstraint(["redoes"], ["actions.id"], name=op.f("fk_actions_redoes_actions")),
    )
    op.create_index(op.f("ix_actions_station_standing_id"), "actions", ["station", "standing", "id"])


def _events() -> None:
    op.create_table(
        "events",
        _number("seq"),
        _text("own_id", 36),
        _text("press"),
        _number("moment"),
        _number("received"),
        _text("kind"),
        sa.Column("body", sa.Text(), nullable=False),
        _text("station"),
        _text("checksum", 64),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_events")),
        sa.UniqueConstraint("own_id", name=op.f("uq_events_own_id")),
    )
    op.create_index(op.f("ix_events_press_seq"), "events", ["press", "seq"])


def _versioned(table: str, *key: sa.Column[str], version_in_key: bool = False) -> None:
    names = [column.name for column in key] + (["version"] if version_in_key else [])
    op.create_table(
        table,
        *key,
        sa.Column("body", sa.Text()),
        _number("version"),
        sa.Column("written_by", sa.BigInteger()),
        _text("seal", 64),
        sa.PrimaryKeyConstraint(*names, name=op.f(f"pk_{table}")),
        sa.ForeignKeyConstraint(["written_by"], ["actions.id"], name=op.f(f"fk_{table}_written_by_actions")),
    )


def _releases() -> None:
    op.create_table(
        "releases",
        _text("press"),
        _text("day", 10),
        _number("number"),
        _text("name"),
        sa.Column("body", sa.Text(), nullable=False),
        _number("moment"),
        _text("released_by"),
        _number("action"),
        _text("seal", 64),
        sa.PrimaryKeyConstraint("press", "day", "number", name=op.f("pk_releases")),
        sa.ForeignKeyConstraint(["action"], ["actions.id"], name=op.f("fk_releases_action_actions")),
    )


def _text(name: str, longest: int = 200) -> sa.Column[str]:
    return sa.Column(name, sa.String(longest), nullable=False)


def _number(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.BigInteger(), nullable=False, autoincrement=False)
