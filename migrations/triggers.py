"""What the database itself forbids: changing the history, a paid ticket, an issued weight ticket."""

from __future__ import annotations

from alembic import op

SALE_FIELDS = [
    "number",
    "tag",
    "made_at",
    "seat",
    "by_",
    "contact_id",
    "customer",
    "exempt_number",
    "parts_cents",
    "discount_cents",
    "discount_by",
    "core_cents",
    "tax_rate",
    "tax_cents",
    "deposit_cents",
    "total_cents",
    "paid_how",
    "slip",
    "paid_at",
]
VOID_FIELDS = ["voided_at", "void_reason", "voided_by"]
WEIGHT_FIELDS = [
    "number",
    "tag",
    "kind",
    "donor_id",
    "commodity",
    "party",
    "plate",
    "scale",
    "gross",
    "gross_at",
    "tare",
    "tare_at",
    "deductions",
    "deduction_lines",
    "net",
    "unit",
    "division",
    "typed_by_hand",
    "price_cents",
    "price_unit",
    "amount_cents",
    "at",
    "seat",
    "by_",
]
LINE_FIELDS = [
    "ticket_id",
    "number",
    "part_id",
    "words",
    "grade",
    "said",
    "price_cents",
    "discount_cents",
    "core_cents",
]


def _changed(fields: list[str], distinct: str) -> str:
    # As text, because a JSON column has no equality of its own on PostgreSQL.
    return " OR ".join(f"CAST(OLD.{field} AS TEXT) {distinct} CAST(NEW.{field} AS TEXT)" for field in fields)


def _guards(distinct: str) -> list[tuple[str, str, str, str]]:
    issued = "OLD.state IN ('paid', 'voided')"
    on_issued = "EXISTS (SELECT 1 FROM sale_tickets t WHERE t.id = OLD.ticket_id AND t.state IN ('paid', 'voided'))"
    return [
        ("history", "UPDATE", "1 = 1", "the history is never altered"),
        ("history", "DELETE", "1 = 1", "the history is never deleted"),
        ("weight_tickets", "DELETE", "1 = 1", "a weight ticket is never deleted, only voided"),
        (
            "weight_tickets",
            "UPDATE",
            f"OLD.voided_at IS NOT NULL OR NEW.voided_at IS NULL OR {_changed(WEIGHT_FIELDS, distinct)}",
            "a weight ticket is never edited, only voided",
        ),
        ("sale_tickets", "DELETE", issued, "a paid ticket is never deleted"),
        (
            "sale_tickets",
            "UPDATE",
            f"{issued} AND (NEW.state NOT IN ('paid', 'voided') OR (OLD.state = 'voided' AND NEW.state <> 'voided')"
            f" OR {_changed(SALE_FIELDS, distinct)}"
            f" OR (OLD.state = 'voided' AND ({_changed(VOID_FIELDS, distinct)})))",
            "a paid ticket is never edited, only voided",
        ),
        (
            "sale_lines",
            "INSERT",
            # A load brings the ticket before its lines, so lines may come until their prices make up its sum.
            "EXISTS (SELECT 1 FROM sale_tickets t WHERE t.id = NEW.ticket_id AND t.state IN ('paid', 'voided')"
            " AND NEW.price_cents + (SELECT coalesce(sum(l.price_cents), 0) FROM sale_lines l"
            " WHERE l.ticket_id = NEW.ticket_id) > t.parts_cents)",
            "a line is never added to a paid ticket",
        ),
        ("sale_lines", "DELETE", on_issued, "a line of a paid ticket is never deleted"),
        (
            "sale_lines",
            "UPDATE",
            f"{on_issued} AND ((NOT OLD.live AND NEW.live) OR {_changed(LINE_FIELDS, distinct)})",
            "a line of a paid ticket is never edited",
        ),
    ]


def create() -> None:
    """Put the guards in place, in the words of the database at hand."""
    if op.get_bind().dialect.name == "sqlite":
        for table, operation, refused_when, words in _guards("IS NOT"):
            op.execute(
                f"CREATE TRIGGER tr_{table}_{operation.lower()} BEFORE {operation} ON {table} "
                f"WHEN {refused_when} BEGIN SELECT RAISE(ABORT, '{words}'); END"
            )
        return
    for table, operation, refused_when, words in _guards("IS DISTINCT FROM"):
        name = f"tr_{table}_{operation.lower()}"
        returned = "OLD" if operation == "DELETE" else "NEW"
        op.execute(
            f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"IF {refused_when} THEN RAISE EXCEPTION '{words}' USING ERRCODE = 'restrict_violation'; END IF; "
            f"RETURN {returned}; END $$"
        )
        op.execute(f"CREATE TRIGGER {name} BEFORE {operation} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()")
    op.execute(
        "CREATE FUNCTION tr_history_truncate() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "RAISE EXCEPTION 'the history is never deleted' USING ERRCODE = 'restrict_violation'; END $$"
    )
    op.execute(
        "CREATE TRIGGER tr_history_truncate BEFORE TRUNCATE ON history "
        "FOR EACH STATEMENT EXECUTE FUNCTION tr_history_truncate()"
    )


def drop() -> None:
    """Take the guards away again."""
    sqlite = op.get_bind().dialect.name == "sqlite"
    for table, operation, *_ in _guards(""):
        name = f"tr_{table}_{operation.lower()}"
        op.execute(f"DROP TRIGGER {name}" if sqlite else f"DROP FUNCTION {name}() CASCADE")
    if not sqlite:
        op.execute("DROP FUNCTION tr_history_truncate() CASCADE")
