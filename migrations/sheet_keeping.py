"""Sheets of rules taken away by the database itself when a line of the rule changes, whoever writes to it.

What is read of a rule is its sheet where it has one, so none may outlive what it was made from.
"""

from __future__ import annotations

from alembic import op

LINES = (
    "rule_types",
    "rule_conditions",
    "rule_operations",
    "rule_companions",
    "rule_consequences",
    "rule_evidence",
)
EVENTS = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}
COLUMNS = ("code", "why", "terms", "types", "named", "besides", "rest")

# On a server somebody may be making the sheet at this moment, from the lines as they were. So a row is put in its
# place that says nothing: whoever comes second waits for the first, and finds the other's row.
_EMPTIED = (
    "INSERT INTO rule_sheets (rule_id) VALUES ({rule}) ON CONFLICT (rule_id) DO UPDATE SET "
    + ", ".join(f"{name} = NULL" for name in COLUMNS)
    + " WHERE rule_sheets.code IS NOT NULL"
)


def create() -> None:
    """Put the triggers in place, in the words of the database at hand."""
    on_one_file = op.get_bind().dialect.name == "sqlite"
    if not on_one_file:
        op.execute(
            "CREATE FUNCTION tr_sheets_emptied() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            "UPDATE rule_sheets SET " + ", ".join(f"{name} = NULL" for name in COLUMNS) + "; RETURN NULL; END $$"
        )
    for table, key in (("rules", "id"), *((table, "rule_id") for table in LINES)):
        for event, rows in EVENTS.items():
            rules = [f"{row}.{key}" for row in rows]
            if on_one_file:
                _on_sqlite(table, event, rules)
            else:
                _on_server(table, event, rules)
        if not on_one_file:
            op.execute(
                f"CREATE TRIGGER tr_sheets_{table}_truncate AFTER TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION tr_sheets_emptied()"
            )


def _on_sqlite(table: str, event: str, rules: list[str]) -> None:
    op.execute(
        f"CREATE TRIGGER tr_sheets_{table}_{event.lower()} AFTER {event} ON {table} "
        f"BEGIN DELETE FROM rule_sheets WHERE rule_id IN ({', '.join(rules)}); END"
    )


def _on_server(table: str, event: str, rules: list[str]) -> None:
    name = f"tr_sheets_{table}_{event.lower()}"
    gone = table == "rules" and event == "DELETE"
    done = [f"DELETE FROM rule_sheets WHERE rule_id = {rule}" if gone else _EMPTIED.format(rule=rule) for rule in rules]
    op.execute(
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {'; '.join(done)}; RETURN NULL; END $$"
    )
    op.execute(f"CREATE TRIGGER {name} AFTER {event} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()")


def drop() -> None:
    """Take them away again."""
    on_one_file = op.get_bind().dialect.name == "sqlite"
    for table in ("rules", *LINES):
        for event in EVENTS:
            name = f"tr_sheets_{table}_{event.lower()}"
            op.execute(f"DROP TRIGGER {name}" if on_one_file else f"DROP FUNCTION {name}() CASCADE")
    if not on_one_file:
        op.execute("DROP FUNCTION tr_sheets_emptied() CASCADE")
