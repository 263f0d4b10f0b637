"""A step that fails when half of it is done."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table("proofs", sa.Column("name", sa.String(20), primary_key=True))
    op.execute("delete from jobs")
    op.execute("insert into no_such_table values (1)")
