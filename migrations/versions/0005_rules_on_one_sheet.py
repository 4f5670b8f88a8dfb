"""A rule with all its lines in one row, taken away by the database itself when one of them changes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from migrations.sheet_keeping import create, drop

revision = "0005"
down_revision = "0004"
branch_labels = depends_on = None


def upgrade() -> None:
    """Add the table; its rows are made when a book is opened."""
    op.create_table(
        "rule_sheets",
        sa.Column("rule_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("code", sa.String(), nullable=True),
        sa.Column("why", sa.String(), nullable=True),
        sa.Column("terms", sa.String(), nullable=True),
        sa.Column("types", sa.String(), nullable=True),
        sa.Column("named", sa.String(), nullable=True),
        sa.Column("besides", sa.String(), nullable=True),
        sa.Column("rest", sa.String(), nullable=True),
        sa.PrimaryKeyConstraint("rule_id", name=op.f("pk_rule_sheets")),
    )
    create()


def downgrade() -> None:
    """Take it away again."""
    drop()
    op.drop_table("rule_sheets")
