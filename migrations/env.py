"""How Alembic meets the book: over an open connection when called from code, by address otherwise."""

from __future__ import annotations

from typing import Any, Literal

from alembic import context
from sqlalchemy import Connection

from app.book.engine import make_engine, where
from app.book.schema import Base, Cents, FineCents, Moment, Thousandths


def plain_type(kind: str, item: Any, _autogenerate: Any) -> str | Literal[False]:
    """Write the house's column types as plain ones, so that a migration never depends on today's code."""
    if kind != "type":
        return False
    plain = {
        Moment: "sa.DateTime(timezone=True)",
        Cents: "sa.Integer()",
        Thousandths: "sa.BigInteger()",
        FineCents: "sa.BigInteger()",
    }
    return plain.get(type(item), False)


def migrate(connection: Connection) -> None:
    """Run the migrations in one transaction."""
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_item=plain_type,
        render_as_batch=connection.dialect.name == "sqlite",
        transaction_per_migration=False,
    )
    with context.begin_transaction():
        context.run_migrations()


open_connection: Connection | None = context.config.attributes.get("connection")
if open_connection is not None:
    migrate(open_connection)
else:
    engine = make_engine(where())
    with engine.connect() as new_connection:
        migrate(new_connection)
        new_connection.commit()
    engine.dispose()
