"""A step that a later version of the program might take: one more table, and a table built anew."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table("proofs", sa.Column("name", sa.String(20), primary_key=True))
    with op.batch_alter_table("actions") as actions:
        actions.alter_column("name", type_=sa.String(300))
