"""The model a part counts as, kept true by the database whoever writes to it.

It is its donor's for the group of its part type: what was looked at, else the plate. An ask finds parts by it.
"""

from __future__ import annotations

from alembic import op

COUNTS_AS = (
    "(SELECT CASE WHEN i.id IS NULL THEN d.model_id ELSE i.model_id END FROM donors d "
    "JOIN part_types t ON t.id = {part}.part_type_id "
    'LEFT JOIN donor_identities i ON i.donor_id = d.id AND i."group" = t."group" WHERE d.id = {part}.donor_id)'
)
OF_DONOR = (
    ("donors", "UPDATE OF model_id", "NEW.id"),
    ("donor_identities", "INSERT", "NEW.donor_id"),
    ("donor_identities", "UPDATE", "NEW.donor_id"),
    ("donor_identities", "DELETE", "OLD.donor_id"),
)


def _renew(where: str) -> str:
    return f"UPDATE parts SET model_id = {COUNTS_AS.format(part='parts')} WHERE {where}"


def fill() -> None:
    """Work it out for every part there is."""
    op.execute(_renew("donor_id IS NOT NULL"))


def _name(table: str, event: str) -> str:
    return f"tr_counts_as_{table}_{event.split()[0].lower()}"


def create() -> None:
    """Put the triggers in place, in the words of the database at hand."""
    if op.get_bind().dialect.name == "sqlite":
        for event in ("INSERT", "UPDATE OF donor_id, part_type_id"):
            op.execute(_on_sqlite("parts", event, "id = NEW.id"))
        for table, event, donor in OF_DONOR:
            op.execute(_on_sqlite(table, event, f"donor_id = {donor}"))
        op.execute(_on_sqlite("part_types", 'UPDATE OF "group"', "part_type_id = NEW.id"))
        return
    op.execute(
        f"CREATE FUNCTION tr_counts_as() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"NEW.model_id := {COUNTS_AS.format(part='NEW')}; RETURN NEW; END $$"
    )
    op.execute(
        "CREATE TRIGGER tr_counts_as BEFORE INSERT OR UPDATE OF donor_id, part_type_id ON parts "
        "FOR EACH ROW EXECUTE FUNCTION tr_counts_as()"
    )
    for table, event, donor in OF_DONOR:
        _on_server(table, event, f"donor_id = {donor}")
    _on_server("part_types", 'UPDATE OF "group"', "part_type_id = NEW.id")


def _on_sqlite(table: str, event: str, where: str) -> str:
    return f"CREATE TRIGGER {_name(table, event)} AFTER {event} ON {table} BEGIN {_renew(where)}; END"


def _on_server(table: str, event: str, where: str) -> None:
    name = _name(table, event)
    op.execute(
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {_renew(where)}; RETURN NULL; END $$"
    )
    op.execute(f"CREATE TRIGGER {name} AFTER {event} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()")


def drop() -> None:
    """Take them away again."""
    every = [("parts", "INSERT"), ("parts", "UPDATE"), *((table, event) for table, event, _ in OF_DONOR)]
    every.append(("part_types", "UPDATE"))
    if op.get_bind().dialect.name == "sqlite":
        for table, event in every:
            op.execute(f"DROP TRIGGER {_name(table, event)}")
        return
    op.execute("DROP FUNCTION tr_counts_as() CASCADE")
    for table, event in every[2:]:
        op.execute(f"DROP FUNCTION {_name(table, event)}() CASCADE")
