"""What ranks a free part among its equals is read off one index; designs are found by their part type.

Links have other numbers now, so what rules come to is made anew when the book is opened.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = depends_on = None

FREE: dict[str, Any] = {"sqlite_where": sa.text("standing = 'free'"), "postgresql_where": sa.text("standing = 'free'")}
FOUND_BY = ["part_type_id", "model_id", "condition", "price_cents"]
READ_ALONG = ["side", "miles", "made_at", "tag", "place_id", "donor_id", "design_id", "pieces", "standing"]


def upgrade() -> None:
    """Make the index wider, and another one; take away the rows whose links have other numbers now."""
    op.create_index("ix_designs_part_type_id", "designs", ["part_type_id"])
    op.drop_index("ix_parts_free", "parts")
    op.create_index("ix_parts_free", "parts", [*FOUND_BY, *READ_ALONG], **FREE)
    op.execute("DELETE FROM rule_reach")
    op.execute("DELETE FROM rule_meets")


def downgrade() -> None:
    """Make it as it was."""
    op.drop_index("ix_designs_part_type_id", "designs")
    op.drop_index("ix_parts_free", "parts")
    op.create_index("ix_parts_free", "parts", FOUND_BY, **FREE)
