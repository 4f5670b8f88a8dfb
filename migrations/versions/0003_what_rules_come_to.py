"""What rules reach and where links meet, kept as rows; the model a part counts as, kept by the database."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

from migrations.counting_as import create, drop, fill

revision = "0003"
down_revision = "0002"
branch_labels = depends_on = None

FREE: dict[str, Any] = {"sqlite_where": sa.text("standing = 'free'"), "postgresql_where": sa.text("standing = 'free'")}


def upgrade() -> None:
    """Add the column and the tables, and fill the column; the rows of the tables are made when a book is opened."""
    op.create_table(
        "rule_reach",
        sa.Column("gives", sa.Boolean(), nullable=False),
        sa.Column("part_type_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("model_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("link", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("gives", "part_type_id", "model_id", "link", name=op.f("pk_rule_reach")),
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_rule_reach_link"), "rule_reach", ["link"])
    op.create_table(
        "rule_meets",
        sa.Column("second", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("families", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("second", "first", name=op.f("pk_rule_meets")),
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_rule_meets_first"), "rule_meets", ["first"])
    op.add_column("parts", sa.Column("model_id", sa.Integer(), nullable=True))
    op.drop_index("ix_parts_free", "parts")
    op.create_index("ix_parts_free", "parts", ["part_type_id", "model_id", "condition", "price_cents"], **FREE)
    fill()
    create()


def downgrade() -> None:
    """Take them away again."""
    drop()
    op.drop_index("ix_parts_free", "parts")
    op.create_index("ix_parts_free", "parts", ["part_type_id", "side", "condition", "price_cents"], **FREE)
    op.drop_column("parts", "model_id")
    op.drop_table("rule_meets")
    op.drop_table("rule_reach")
