"""the yard."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from migrations import triggers

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring the book up."""
    op.create_table(
        "aliases",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("said", sa.String(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum("part", "model", "fact", name="aliaskind", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("means", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_aliases")),
        sa.UniqueConstraint("said", "kind", "means", name=op.f("uq_aliases_said_kind_means")),
        info={"key": ("said", "kind", "means")},
    )
    op.create_table(
        "contacts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("phone", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("id_kind", sa.String(), nullable=False),
        sa.Column("id_number", sa.String(), nullable=False),
        sa.Column("id_expires", sa.Date(), nullable=True),
        sa.Column("exempt_number", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_contacts")),
        sa.UniqueConstraint("code", name=op.f("uq_contacts_code")),
        info={"key": ("code",)},
    )
    op.create_table(
        "counters",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("series", sa.String(), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.CheckConstraint("last >= 0", name=op.f("ck_counters_counts_up")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_counters")),
        sa.UniqueConstraint("series", name=op.f("uq_counters_series")),
        info={"key": ("series",)},
    )
    op.create_table(
        "drafts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("seat", sa.String(), nullable=False),
        sa.Column("form", sa.String(), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("fields", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_drafts")),
        sa.UniqueConstraint("seat", "by_", "form", name=op.f("uq_drafts_seat_by__form")),
        info={"key": ("seat", "by", "form")},
    )
    op.create_table(
        "facts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "choice",
                "yes or no",
                "count",
                "number",
                "length",
                "month",
                "date",
                "words",
                name="factkind",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column(
            "group",
            sa.Enum(
                "frame", "body", "nose", "driveline", name="group", native_enum=False, create_constraint=True, length=32
            ),
            nullable=True,
        ),
        sa.Column("unit", sa.String(), nullable=False),
        sa.Column("choices", sa.JSON(), nullable=False),
        sa.Column("question", sa.String(), nullable=False),
        sa.Column("effort", sa.Integer(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("effort >= 0", name=op.f("ck_facts_effort_not_negative")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_facts")),
        sa.UniqueConstraint("name", name=op.f("uq_facts_name")),
        info={"key": ("name",)},
    )
    op.create_table(
        "frame_designs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column(
            "section",
            sa.Enum(
                "fully boxed",
                "open C-channel",
                "part boxed",
                "perimeter",
                "tube",
                "unibody",
                name="section",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column(
            "front",
            sa.Enum(
                "coil-over",
                "torsion bar",
                "coil, solid axle",
                "leaf, solid axle",
                "strut",
                name="frontsuspension",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column(
            "rear",
            sa.Enum(
                "leaf",
                "five-link coil",
                "four-link coil",
                "independent",
                "twist beam",
                "air",
                name="rearsuspension",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("rail_height_mm", sa.Float(precision=53), nullable=True),
        sa.Column("rail_width_mm", sa.Float(precision=53), nullable=True),
        sa.Column("wall_mm", sa.Float(precision=53), nullable=True),
        sa.Column("spread_mm", sa.Float(precision=53), nullable=True),
        sa.Column("wheelbase_mm", sa.Float(precision=53), nullable=True),
        sa.Column("datum", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame_designs")),
        sa.UniqueConstraint("code", name=op.f("uq_frame_designs_code")),
        info={"key": ("code",)},
    )
    op.create_table(
        "history",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("event", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seat", sa.String(), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.Column("action", sa.String(), nullable=False),
        sa.Column("subject", sa.String(), nullable=False),
        sa.Column(
            "outcome",
            sa.Enum("done", "refused", name="outcome", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("details", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_history")),
        sa.UniqueConstraint("event", name=op.f("uq_history_event")),
        info={"key": ("event",)},
    )
    with op.batch_alter_table("history", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_history_subject"), ["subject"], unique=False)

    op.create_table(
        "part_types",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("wider", sa.String(), nullable=False),
        sa.Column(
            "group",
            sa.Enum(
                "frame", "body", "nose", "driveline", name="group", native_enum=False, create_constraint=True, length=32
            ),
            nullable=False,
        ),
        sa.Column(
            "law",
            sa.Enum(
                "",
                "airbag",
                "belt",
                "high voltage",
                "frame",
                "wear",
                name="law",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("sided", sa.Boolean(), nullable=False),
        sa.Column("positions", sa.JSON(), nullable=False),
        sa.Column("has_miles", sa.Boolean(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("usual_weight_lb", sa.BigInteger(), nullable=True),
        sa.Column("weight_low_lb", sa.BigInteger(), nullable=True),
        sa.Column("weight_high_lb", sa.BigInteger(), nullable=True),
        sa.Column("usual_hours", sa.BigInteger(), nullable=True),
        sa.Column("core_cents", sa.Integer(), nullable=False),
        sa.Column("hazards", sa.JSON(), nullable=False),
        sa.Column("comes_off_after", sa.JSON(), nullable=False),
        sa.Column("place_kinds", sa.JSON(), nullable=False),
        sa.Column("look_for", sa.JSON(), nullable=False),
        sa.Column("label_size", sa.String(), nullable=False),
        sa.CheckConstraint("usual_hours IS NULL OR usual_hours >= 0", name=op.f("ck_part_types_hours_not_negative")),
        sa.CheckConstraint(
            "usual_weight_lb IS NULL OR usual_weight_lb > 0", name=op.f("ck_part_types_weight_above_zero")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_types")),
        sa.UniqueConstraint("name", name=op.f("uq_part_types_name")),
        info={"key": ("name",)},
    )
    op.create_table(
        "people",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column(
            "role",
            sa.Enum(
                "intake",
                "puller",
                "counter",
                "scale",
                "owner",
                name="role",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("code", name=op.f("uq_people_code")),
        info={"key": ("code",)},
    )
    op.create_table(
        "places",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "shelf",
                "door slot",
                "glass rack",
                "engine stand",
                "low heavy shelf",
                "hood rack",
                "axle row",
                "frame rack",
                "airbag locker",
                "HV cage",
                "yard row",
                "will-call",
                "quarantine",
                "scrap bin",
                "area",
                name="placekind",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("inside_id", sa.Integer(), nullable=True),
        sa.Column("weight_limit_lb", sa.BigInteger(), nullable=True),
        sa.Column("piece_limit", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("piece_limit IS NULL OR piece_limit > 0", name=op.f("ck_places_room_for_one")),
        sa.CheckConstraint("weight_limit_lb IS NULL OR weight_limit_lb > 0", name=op.f("ck_places_bears_something")),
        sa.ForeignKeyConstraint(
            ["inside_id"], ["places.id"], name=op.f("fk_places_inside_id"), initially="DEFERRED", deferrable=True
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_places")),
        sa.UniqueConstraint("code", name=op.f("uq_places_code")),
        info={"key": ("code",)},
    )
    with op.batch_alter_table("places", schema=None) as batch_op:
        batch_op.create_index(
            "uq_places_tag",
            ["tag"],
            unique=True,
            sqlite_where=sa.text("tag <> ''"),
            postgresql_where=sa.text("tag <> ''"),
        )

    op.create_table(
        "plate_words",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("maker", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("symbol", sa.String(), nullable=False),
        sa.Column("year_from", sa.Integer(), nullable=False),
        sa.Column("year_to", sa.Integer(), nullable=False),
        sa.Column("meaning", sa.String(), nullable=False),
        sa.Column("seen", sa.Integer(), nullable=False),
        sa.CheckConstraint("position BETWEEN 1 AND 17", name=op.f("ck_plate_words_position_on_plate")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plate_words")),
        sa.UniqueConstraint(
            "maker", "position", "symbol", "year_from", name=op.f("uq_plate_words_maker_position_symbol_year_from")
        ),
        info={"key": ("maker", "position", "symbol", "year_from")},
    )
    op.create_table(
        "print_jobs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("copy", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("sent_to", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.Column("seen_good", sa.Boolean(), nullable=False),
        sa.CheckConstraint("copy > 0", name=op.f("ck_print_jobs_copy_counts_from_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_print_jobs")),
        sa.UniqueConstraint("number", name=op.f("uq_print_jobs_number")),
        info={"key": ("number",)},
    )
    with op.batch_alter_table("print_jobs", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_print_jobs_tag"), ["tag"], unique=False)

    op.create_table(
        "refusals",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("vin", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("reasons", sa.JSON(), nullable=False),
        sa.Column("photo", sa.String(), nullable=False),
        sa.Column("offered_by", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_refusals")),
        sa.UniqueConstraint("number", name=op.f("uq_refusals_number")),
        info={"key": ("number",)},
    )
    op.create_table(
        "rules",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "fit",
                "numbers",
                "law",
                "moves date",
                name="rulekind",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column(
            "grade",
            sa.Enum(
                "bolts_up",
                "move_over",
                "set",
                "measure",
                "bolts_in",
                "needs_work",
                "set_short",
                "not_compared",
                "wont_fit",
                name="grade",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=True,
        ),
        sa.Column(
            "direction",
            sa.Enum("one way", "both ways", name="direction", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("chains", sa.Boolean(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "open", "disputed", "closed", name="rulestate", native_enum=False, create_constraint=True, length=32
            ),
            nullable=False,
        ),
        sa.Column("state_reason", sa.String(), nullable=False),
        sa.Column("state_on", sa.Date(), nullable=True),
        sa.CheckConstraint("kind = 'moves date' OR grade IS NOT NULL", name=op.f("ck_rules_graded")),
        sa.CheckConstraint(
            "state <> 'closed' OR (state_reason <> '' AND state_on IS NOT NULL)",
            name=op.f("ck_rules_closed_with_reason"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rules")),
        sa.UniqueConstraint("code", name=op.f("uq_rules_code")),
        info={"key": ("code",)},
    )
    op.create_table(
        "settings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_settings")),
        sa.UniqueConstraint("name", name=op.f("uq_settings_name")),
        info={"key": ("name",)},
    )
    op.create_table(
        "designs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("part_type_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["part_type_id"], ["part_types.id"], name=op.f("fk_designs_part_type_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_designs")),
        sa.UniqueConstraint("code", name=op.f("uq_designs_code")),
        info={"key": ("code",)},
    )
    op.create_table(
        "frame_points",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("frame_design_id", sa.Integer(), nullable=False),
        sa.Column("mount", sa.String(), nullable=False),
        sa.Column(
            "side",
            sa.Enum("LH", "RH", "", name="side", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("x_mm", sa.Float(precision=53), nullable=False),
        sa.Column("y_mm", sa.Float(precision=53), nullable=False),
        sa.Column("z_mm", sa.Float(precision=53), nullable=False),
        sa.Column("u_mm", sa.Float(precision=53), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("size_mm", sa.Float(precision=53), nullable=True),
        sa.Column("tool", sa.String(), nullable=False),
        sa.CheckConstraint("u_mm >= 0", name=op.f("ck_frame_points_doubt_not_negative")),
        sa.ForeignKeyConstraint(
            ["frame_design_id"], ["frame_designs.id"], name=op.f("fk_frame_points_frame_design_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame_points")),
        sa.UniqueConstraint(
            "frame_design_id", "mount", "side", name=op.f("uq_frame_points_frame_design_id_mount_side")
        ),
        info={"key": ("frame_design_id", "mount", "side")},
    )
    op.create_table(
        "models",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("make", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("variant", sa.String(), nullable=False),
        sa.Column("weight_class", sa.String(), nullable=False),
        sa.Column("family", sa.String(), nullable=False),
        sa.Column("body_style", sa.String(), nullable=False),
        sa.Column("year_from", sa.Integer(), nullable=False),
        sa.Column("year_to", sa.Integer(), nullable=False),
        sa.Column("frame_design_id", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("year_from <= year_to", name=op.f("ck_models_years_in_order")),
        sa.ForeignKeyConstraint(["frame_design_id"], ["frame_designs.id"], name=op.f("fk_models_frame_design_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_models")),
        sa.UniqueConstraint("key", name=op.f("uq_models_key")),
        info={"key": ("key",)},
    )
    op.create_table(
        "rule_companions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("rule_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("part_type_id", sa.Integer(), nullable=False),
        sa.Column(
            "side",
            sa.Enum("LH", "RH", "", name="side", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("same_donor", sa.Boolean(), nullable=False),
        sa.Column("given", sa.JSON(), nullable=False),
        sa.Column("or_else", sa.String(), nullable=False),
        sa.Column("already_there", sa.String(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_rule_companions_count_above_zero")),
        sa.ForeignKeyConstraint(["part_type_id"], ["part_types.id"], name=op.f("fk_rule_companions_part_type_id")),
        sa.ForeignKeyConstraint(["rule_id"], ["rules.id"], name=op.f("fk_rule_companions_rule_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule_companions")),
        sa.UniqueConstraint("rule_id", "number", name=op.f("uq_rule_companions_rule_id_number")),
        info={"key": ("rule_id", "number")},
    )
    op.create_table(
        "rule_conditions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("rule_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column(
            "end",
            sa.Enum("part", "target", "between", name="end", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("fact", sa.String(), nullable=False),
        sa.Column(
            "op",
            sa.Enum(
                "any of",
                "none of",
                "before",
                "from",
                "at least",
                "at most",
                "same",
                "differs",
                "within",
                "fresh",
                "known",
                name="op",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("values_", sa.JSON(), nullable=False),
        sa.Column("other_fact", sa.String(), nullable=False),
        sa.Column("allowed", sa.String(), nullable=False),
        sa.Column("alt", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["rule_id"], ["rules.id"], name=op.f("fk_rule_conditions_rule_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule_conditions")),
        sa.UniqueConstraint("rule_id", "number", name=op.f("uq_rule_conditions_rule_id_number")),
        info={"key": ("rule_id", "number")},
    )
    op.create_table(
        "rule_consequences",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("rule_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("amount", sa.String(), nullable=False),
        sa.Column("fact", sa.String(), nullable=False),
        sa.Column("worked_out", sa.String(), nullable=False),
        sa.Column("record", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["rule_id"], ["rules.id"], name=op.f("fk_rule_consequences_rule_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule_consequences")),
        sa.UniqueConstraint("rule_id", "number", name=op.f("uq_rule_consequences_rule_id_number")),
        info={"key": ("rule_id", "number")},
    )
    op.create_table(
        "rule_date_moves",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("rule_id", sa.Integer(), nullable=False),
        sa.Column("moves_id", sa.Integer(), nullable=False),
        sa.Column("from_month", sa.String(), nullable=False),
        sa.Column("to_month", sa.String(), nullable=False),
        sa.CheckConstraint("rule_id <> moves_id", name=op.f("ck_rule_date_moves_not_itself")),
        sa.ForeignKeyConstraint(["moves_id"], ["rules.id"], name=op.f("fk_rule_date_moves_moves_id")),
        sa.ForeignKeyConstraint(["rule_id"], ["rules.id"], name=op.f("fk_rule_date_moves_rule_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule_date_moves")),
        sa.UniqueConstraint("rule_id", "moves_id", name=op.f("uq_rule_date_moves_rule_id_moves_id")),
        info={"key": ("rule_id", "moves_id")},
    )
    op.create_table(
        "rule_evidence",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("rule_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "measured",
                "seen",
                "tried",
                "done",
                "arithmetic",
                "sold and kept",
                "returned",
                "trade practice",
                "told",
                "yard law",
                "guess",
                name="evidence",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("donors", sa.JSON(), nullable=False),
        sa.Column("on_", sa.Date(), nullable=True),
        sa.Column("by_", sa.String(), nullable=False),
        sa.Column("tool", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["rule_id"], ["rules.id"], name=op.f("fk_rule_evidence_rule_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule_evidence")),
        sa.UniqueConstraint("rule_id", "number", name=op.f("uq_rule_evidence_rule_id_number")),
        info={"key": ("rule_id", "number")},
    )
    op.create_table(
        "rule_operations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("rule_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column(
            "way",
            sa.Enum("both", "forth", "back", name="way", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("work", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=True),
        sa.Column("hours", sa.BigInteger(), nullable=True),
        sa.Column("by_whom", sa.String(), nullable=False),
        sa.CheckConstraint("hours IS NULL OR hours >= 0", name=op.f("ck_rule_operations_hours_not_negative")),
        sa.ForeignKeyConstraint(["rule_id"], ["rules.id"], name=op.f("fk_rule_operations_rule_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule_operations")),
        sa.UniqueConstraint("rule_id", "number", name=op.f("uq_rule_operations_rule_id_number")),
        info={"key": ("rule_id", "number")},
    )
    op.create_table(
        "rule_types",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("rule_id", sa.Integer(), nullable=False),
        sa.Column(
            "end",
            sa.Enum("part", "target", "between", name="end", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("part_type_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["part_type_id"], ["part_types.id"], name=op.f("fk_rule_types_part_type_id")),
        sa.ForeignKeyConstraint(["rule_id"], ["rules.id"], name=op.f("fk_rule_types_rule_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule_types")),
        sa.UniqueConstraint("rule_id", "end", "part_type_id", name=op.f("uq_rule_types_rule_id_end_part_type_id")),
        info={"key": ("rule_id", "end", "part_type_id")},
    )
    with op.batch_alter_table("rule_types", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_rule_types_part_type_id_end"), ["part_type_id", "end"], unique=False)

    op.create_table(
        "sale_tickets",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seat", sa.String(), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.Column("contact_id", sa.Integer(), nullable=True),
        sa.Column("customer", sa.String(), nullable=False),
        sa.Column("exempt_number", sa.String(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "draft",
                "payment not recorded",
                "paid",
                "voided",
                name="ticketstate",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("parts_cents", sa.Integer(), nullable=False),
        sa.Column("discount_cents", sa.Integer(), nullable=False),
        sa.Column("discount_by", sa.String(), nullable=False),
        sa.Column("core_cents", sa.Integer(), nullable=False),
        sa.Column("tax_rate", sa.String(), nullable=False),
        sa.Column("tax_cents", sa.Integer(), nullable=False),
        sa.Column("deposit_cents", sa.Integer(), nullable=False),
        sa.Column("total_cents", sa.Integer(), nullable=False),
        sa.Column("paid_how", sa.String(), nullable=False),
        sa.Column("slip", sa.String(), nullable=False),
        sa.Column("paid_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("receipts", sa.Integer(), nullable=False),
        sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("void_reason", sa.String(), nullable=False),
        sa.Column("voided_by", sa.String(), nullable=False),
        sa.CheckConstraint("state <> 'voided' OR void_reason <> ''", name=op.f("ck_sale_tickets_void_says_why")),
        sa.CheckConstraint(
            "state NOT IN ('paid', 'voided') OR paid_at IS NOT NULL", name=op.f("ck_sale_tickets_paid_has_time")
        ),
        sa.CheckConstraint("discount_cents BETWEEN 0 AND parts_cents", name=op.f("ck_sale_tickets_discount_in_range")),
        sa.CheckConstraint(
            "tax_cents >= 0 AND core_cents >= 0 AND deposit_cents >= 0", name=op.f("ck_sale_tickets_not_negative")
        ),
        sa.CheckConstraint(
            "total_cents = parts_cents - discount_cents + core_cents + tax_cents - deposit_cents",
            name=op.f("ck_sale_tickets_adds_up"),
        ),
        sa.ForeignKeyConstraint(["contact_id"], ["contacts.id"], name=op.f("fk_sale_tickets_contact_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sale_tickets")),
        sa.UniqueConstraint("number", name=op.f("uq_sale_tickets_number")),
        info={"key": ("number",)},
    )
    op.create_table(
        "asks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seat", sa.String(), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("part_type_id", sa.Integer(), nullable=True),
        sa.Column("model_id", sa.Integer(), nullable=True),
        sa.Column("understood", sa.JSON(), nullable=False),
        sa.Column("found", sa.Integer(), nullable=False),
        sa.Column("best_grade", sa.String(), nullable=False),
        sa.Column("tags", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["model_id"], ["models.id"], name=op.f("fk_asks_model_id")),
        sa.ForeignKeyConstraint(["part_type_id"], ["part_types.id"], name=op.f("fk_asks_part_type_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_asks")),
        sa.UniqueConstraint("number", name=op.f("uq_asks_number")),
        info={"key": ("number",)},
    )
    op.create_table(
        "design_facts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=False),
        sa.Column("fact_id", sa.Integer(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("u_mm", sa.Float(precision=53), nullable=True),
        sa.Column("tool", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["design_id"], ["designs.id"], name=op.f("fk_design_facts_design_id")),
        sa.ForeignKeyConstraint(["fact_id"], ["facts.id"], name=op.f("fk_design_facts_fact_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design_facts")),
        sa.UniqueConstraint("design_id", "fact_id", name=op.f("uq_design_facts_design_id_fact_id")),
        info={"key": ("design_id", "fact_id")},
    )
    op.create_table(
        "design_uses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("model_id", sa.Integer(), nullable=False),
        sa.Column("year_from", sa.Integer(), nullable=True),
        sa.Column("year_to", sa.Integer(), nullable=True),
        sa.Column("built_from", sa.String(), nullable=True),
        sa.Column("built_to", sa.String(), nullable=True),
        sa.Column("plants", sa.JSON(), nullable=False),
        sa.Column("given", sa.JSON(), nullable=False),
        sa.Column("known_by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["design_id"], ["designs.id"], name=op.f("fk_design_uses_design_id")),
        sa.ForeignKeyConstraint(["model_id"], ["models.id"], name=op.f("fk_design_uses_model_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design_uses")),
        sa.UniqueConstraint("design_id", "number", name=op.f("uq_design_uses_design_id_number")),
        info={"key": ("design_id", "number")},
    )
    with op.batch_alter_table("design_uses", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_design_uses_model_id_design_id"), ["model_id", "design_id"], unique=False)

    op.create_table(
        "donors",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stock_number", sa.String(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column("vin", sa.String(), nullable=False),
        sa.Column("vin_note", sa.String(), nullable=False),
        sa.Column("model_id", sa.Integer(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("year", sa.Integer(), nullable=True),
        sa.Column("built", sa.String(), nullable=True),
        sa.Column("miles", sa.Integer(), nullable=True),
        sa.Column("keys", sa.Integer(), nullable=True),
        sa.Column(
            "paper",
            sa.Enum(
                "clean title",
                "salvage title",
                "rebuilt title",
                "parts only",
                "certificate of destruction",
                "bill of sale",
                "lien sale papers",
                "lost title, affidavit",
                "none yet",
                name="paper",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("seller_id", sa.Integer(), nullable=True),
        sa.Column("arrived_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("paid_how", sa.String(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.Column(
            "frame_state",
            sa.Enum(
                "not measured",
                "straight",
                "measure again",
                "scrap only",
                "no frame",
                name="framestate",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("frame_reason", sa.String(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "arrived",
                "teardown",
                "hulk",
                "weighed out",
                name="donorstate",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("place_id", sa.Integer(), nullable=True),
        sa.Column("arrival_net_lb", sa.BigInteger(), nullable=True),
        sa.Column("carried_weighed_lb", sa.BigInteger(), nullable=False),
        sa.Column("carried_estimated_lb", sa.BigInteger(), nullable=False),
        sa.Column("carried_cost_cents", sa.Integer(), nullable=False),
        sa.Column("carried_money_cents", sa.Integer(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("built IS NULL OR length(built) = 7", name=op.f("ck_donors_built_is_month")),
        sa.CheckConstraint("length(stock_number) > 0", name=op.f("ck_donors_has_number")),
        sa.CheckConstraint("miles IS NULL OR miles >= 0", name=op.f("ck_donors_miles_not_negative")),
        sa.ForeignKeyConstraint(["model_id"], ["models.id"], name=op.f("fk_donors_model_id")),
        sa.ForeignKeyConstraint(["place_id"], ["places.id"], name=op.f("fk_donors_place_id")),
        sa.ForeignKeyConstraint(["seller_id"], ["contacts.id"], name=op.f("fk_donors_seller_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_donors")),
        sa.UniqueConstraint("stock_number", name=op.f("uq_donors_stock_number")),
        info={"key": ("stock_number",)},
    )
    with op.batch_alter_table("donors", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_donors_model_id"), ["model_id"], unique=False)
        batch_op.create_index(
            "uq_donors_vin",
            ["vin"],
            unique=True,
            sqlite_where=sa.text("vin <> ''"),
            postgresql_where=sa.text("vin <> ''"),
        )

    op.create_table(
        "model_facts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("model_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("fact_id", sa.Integer(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("u_mm", sa.Float(precision=53), nullable=True),
        sa.Column("built_from", sa.String(), nullable=True),
        sa.Column("built_to", sa.String(), nullable=True),
        sa.Column("plants", sa.JSON(), nullable=False),
        sa.Column("given", sa.JSON(), nullable=False),
        sa.CheckConstraint(
            "built_from IS NULL OR built_to IS NULL OR built_from <= built_to",
            name=op.f("ck_model_facts_built_in_order"),
        ),
        sa.ForeignKeyConstraint(["fact_id"], ["facts.id"], name=op.f("fk_model_facts_fact_id")),
        sa.ForeignKeyConstraint(["model_id"], ["models.id"], name=op.f("fk_model_facts_model_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_model_facts")),
        sa.UniqueConstraint("model_id", "number", name=op.f("uq_model_facts_model_id_number")),
        info={"key": ("model_id", "number")},
    )
    op.create_table(
        "wants",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("part_type_id", sa.Integer(), nullable=True),
        sa.Column("model_id", sa.Integer(), nullable=True),
        sa.Column("year", sa.Integer(), nullable=True),
        sa.Column("side", sa.String(), nullable=False),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.Column("contact_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("phone", sa.String(), nullable=False),
        sa.Column("most_cents", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("open", sa.Boolean(), nullable=False),
        sa.Column("closed_by", sa.String(), nullable=False),
        sa.CheckConstraint("most_cents IS NULL OR most_cents > 0", name=op.f("ck_wants_most_above_zero")),
        sa.ForeignKeyConstraint(["contact_id"], ["contacts.id"], name=op.f("fk_wants_contact_id")),
        sa.ForeignKeyConstraint(["model_id"], ["models.id"], name=op.f("fk_wants_model_id")),
        sa.ForeignKeyConstraint(["part_type_id"], ["part_types.id"], name=op.f("fk_wants_part_type_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_wants")),
        sa.UniqueConstraint("number", name=op.f("uq_wants_number")),
        info={"key": ("number",)},
    )
    op.create_table(
        "donor_costs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("donor_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("amount_cents", sa.Integer(), nullable=False),
        sa.Column("hours", sa.BigInteger(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_donor_costs_donor_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_donor_costs")),
        sa.UniqueConstraint("donor_id", "number", name=op.f("uq_donor_costs_donor_id_number")),
        info={"key": ("donor_id", "number")},
    )
    op.create_table(
        "donor_facts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("donor_id", sa.Integer(), nullable=False),
        sa.Column("fact_id", sa.Integer(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("known_by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_donor_facts_donor_id")),
        sa.ForeignKeyConstraint(["fact_id"], ["facts.id"], name=op.f("fk_donor_facts_fact_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_donor_facts")),
        sa.UniqueConstraint("donor_id", "fact_id", name=op.f("uq_donor_facts_donor_id_fact_id")),
        info={"key": ("donor_id", "fact_id")},
    )
    op.create_table(
        "donor_identities",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("donor_id", sa.Integer(), nullable=False),
        sa.Column(
            "group",
            sa.Enum(
                "frame", "body", "nose", "driveline", name="group", native_enum=False, create_constraint=True, length=32
            ),
            nullable=False,
        ),
        sa.Column("model_id", sa.Integer(), nullable=True),
        sa.Column("year", sa.Integer(), nullable=True),
        sa.Column("built", sa.String(), nullable=True),
        sa.Column("plant", sa.String(), nullable=False),
        sa.Column("known_by", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_donor_identities_donor_id")),
        sa.ForeignKeyConstraint(["model_id"], ["models.id"], name=op.f("fk_donor_identities_model_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_donor_identities")),
        sa.UniqueConstraint("donor_id", "group", name=op.f("uq_donor_identities_donor_id_group")),
        info={"key": ("donor_id", "group")},
    )
    op.create_table(
        "frame_surveys",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("donor_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.Column(
            "section",
            sa.Enum(
                "fully boxed",
                "open C-channel",
                "part boxed",
                "perimeter",
                "tube",
                "unibody",
                name="section",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column(
            "front",
            sa.Enum(
                "coil-over",
                "torsion bar",
                "coil, solid axle",
                "leaf, solid axle",
                "strut",
                name="frontsuspension",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column(
            "rear",
            sa.Enum(
                "leaf",
                "five-link coil",
                "four-link coil",
                "independent",
                "twist beam",
                "air",
                name="rearsuspension",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("datum", sa.String(), nullable=False),
        sa.Column("bad_repair", sa.JSON(), nullable=False),
        sa.Column(
            "verdict",
            sa.Enum(
                "not measured",
                "straight",
                "measure again",
                "scrap only",
                "no frame",
                name="framestate",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("arithmetic", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_frame_surveys_donor_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame_surveys")),
        sa.UniqueConstraint("donor_id", "number", name=op.f("uq_frame_surveys_donor_id_number")),
        info={"key": ("donor_id", "number")},
    )
    op.create_table(
        "parts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column("donor_id", sa.Integer(), nullable=True),
        sa.Column("past", sa.String(), nullable=False),
        sa.Column("part_type_id", sa.Integer(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=True),
        sa.Column(
            "side",
            sa.Enum("LH", "RH", "", name="side", native_enum=False, create_constraint=True, length=32),
            nullable=False,
        ),
        sa.Column("position", sa.String(), nullable=False),
        sa.Column(
            "condition",
            sa.Enum(
                "A", "B", "C", "core", "scrap", name="condition", native_enum=False, create_constraint=True, length=32
            ),
            nullable=False,
        ),
        sa.Column("damage", sa.String(), nullable=False),
        sa.Column("proven", sa.String(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("miles", sa.Integer(), nullable=True),
        sa.Column("price_cents", sa.Integer(), nullable=False),
        sa.Column("core_cents", sa.Integer(), nullable=False),
        sa.Column("weight_lb", sa.BigInteger(), nullable=True),
        sa.Column("weight_how", sa.String(), nullable=False),
        sa.Column("weight_carried", sa.Boolean(), nullable=False),
        sa.Column(
            "standing",
            sa.Enum(
                "free",
                "held",
                "on ticket",
                "sold",
                "blocked",
                "missing",
                "written off",
                name="standing",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("block_reason", sa.String(), nullable=False),
        sa.Column(
            "whereabouts",
            sa.Enum(
                "on vehicle",
                "in hand",
                "in place",
                "gone",
                name="whereabouts",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("place_id", sa.Integer(), nullable=True),
        sa.Column("holder_id", sa.Integer(), nullable=True),
        sa.Column("pull_hours", sa.BigInteger(), nullable=True),
        sa.Column("lump_id", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint(
            "(whereabouts = 'in hand') = (holder_id IS NOT NULL)", name=op.f("ck_parts_in_hand_has_holder")
        ),
        sa.CheckConstraint(
            "(whereabouts = 'in place') = (place_id IS NOT NULL)", name=op.f("ck_parts_placed_has_place")
        ),
        sa.CheckConstraint("donor_id IS NOT NULL OR past <> ''", name=op.f("ck_parts_has_a_past")),
        sa.CheckConstraint("standing <> 'blocked' OR block_reason <> ''", name=op.f("ck_parts_blocked_says_why")),
        sa.CheckConstraint(
            "whereabouts <> 'gone' OR standing IN ('sold', 'written off')", name=op.f("ck_parts_gone_is_accounted_for")
        ),
        sa.CheckConstraint(
            "whereabouts <> 'on vehicle' OR donor_id IS NOT NULL", name=op.f("ck_parts_on_vehicle_has_donor")
        ),
        sa.CheckConstraint(
            "length(tag) BETWEEN 1 AND 10 AND tag = upper(tag)", name=op.f("ck_parts_tag_short_capitals")
        ),
        sa.CheckConstraint("pieces > 0", name=op.f("ck_parts_has_pieces")),
        sa.CheckConstraint("price_cents >= 0 AND core_cents >= 0", name=op.f("ck_parts_money_not_negative")),
        sa.CheckConstraint("weight_lb IS NULL OR weight_lb > 0", name=op.f("ck_parts_weight_above_zero")),
        sa.ForeignKeyConstraint(["design_id"], ["designs.id"], name=op.f("fk_parts_design_id")),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_parts_donor_id")),
        sa.ForeignKeyConstraint(["holder_id"], ["people.id"], name=op.f("fk_parts_holder_id")),
        sa.ForeignKeyConstraint(
            ["lump_id"], ["parts.id"], name=op.f("fk_parts_lump_id"), initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(["part_type_id"], ["part_types.id"], name=op.f("fk_parts_part_type_id")),
        sa.ForeignKeyConstraint(["place_id"], ["places.id"], name=op.f("fk_parts_place_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_parts")),
        sa.UniqueConstraint("tag", name=op.f("uq_parts_tag")),
        info={"key": ("tag",)},
    )
    with op.batch_alter_table("parts", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_parts_design_id"), ["design_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_parts_donor_id"), ["donor_id"], unique=False)
        batch_op.create_index(
            "ix_parts_free",
            ["part_type_id", "side", "condition", "price_cents"],
            unique=False,
            sqlite_where=sa.text("standing = 'free'"),
            postgresql_where=sa.text("standing = 'free'"),
        )
        batch_op.create_index(
            "ix_parts_lump",
            ["lump_id"],
            unique=False,
            sqlite_where=sa.text("lump_id IS NOT NULL"),
            postgresql_where=sa.text("lump_id IS NOT NULL"),
        )
        batch_op.create_index(
            "ix_parts_not_offered",
            ["part_type_id"],
            unique=False,
            sqlite_where=sa.text("standing IN ('held', 'on ticket', 'blocked')"),
            postgresql_where=sa.text("standing IN ('held', 'on ticket', 'blocked')"),
        )
        batch_op.create_index(batch_op.f("ix_parts_place_id"), ["place_id"], unique=False)

    op.create_table(
        "removals",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("donor_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("gallons", sa.BigInteger(), nullable=True),
        sa.Column("weight_lb", sa.BigInteger(), nullable=False),
        sa.Column("how", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.CheckConstraint("how IN ('weighed', 'metered', 'estimated')", name=op.f("ck_removals_how_known")),
        sa.CheckConstraint("weight_lb >= 0", name=op.f("ck_removals_weight_not_negative")),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_removals_donor_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_removals")),
        sa.UniqueConstraint("donor_id", "number", name=op.f("uq_removals_donor_id_number")),
        info={"key": ("donor_id", "number")},
    )
    op.create_table(
        "vehicle_holds",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("donor_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("starts", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends", sa.DateTime(timezone=True), nullable=True),
        sa.Column("blocks", sa.JSON(), nullable=False),
        sa.Column("released_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("released_by", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.CheckConstraint("ends IS NULL OR ends > starts", name=op.f("ck_vehicle_holds_ends_after_start")),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_vehicle_holds_donor_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_vehicle_holds")),
        sa.UniqueConstraint("donor_id", "number", name=op.f("uq_vehicle_holds_donor_id_number")),
        info={"key": ("donor_id", "number")},
    )
    op.create_table(
        "vin_readings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("donor_id", sa.Integer(), nullable=True),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("read", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_vin_readings_donor_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_vin_readings")),
        sa.UniqueConstraint("number", name=op.f("uq_vin_readings_number")),
        info={"key": ("number",)},
    )
    with op.batch_alter_table("vin_readings", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_vin_readings_donor_id"), ["donor_id"], unique=False)

    op.create_table(
        "weight_tickets",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "arrival",
                "hulk out",
                "scrap in",
                name="ticketkind",
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("donor_id", sa.Integer(), nullable=True),
        sa.Column("commodity", sa.String(), nullable=False),
        sa.Column("party", sa.String(), nullable=False),
        sa.Column("plate", sa.String(), nullable=False),
        sa.Column("scale", sa.String(), nullable=False),
        sa.Column("gross", sa.BigInteger(), nullable=False),
        sa.Column("gross_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("tare", sa.BigInteger(), nullable=False),
        sa.Column("tare_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("deductions", sa.BigInteger(), nullable=False),
        sa.Column("deduction_lines", sa.JSON(), nullable=False),
        sa.Column("net", sa.BigInteger(), nullable=False),
        sa.Column("unit", sa.String(), nullable=False),
        sa.Column("division", sa.BigInteger(), nullable=False),
        sa.Column("typed_by_hand", sa.Boolean(), nullable=False),
        sa.Column("price_cents", sa.BigInteger(), nullable=True),
        sa.Column("price_unit", sa.String(), nullable=False),
        sa.Column("amount_cents", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seat", sa.String(), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("void_reason", sa.String(), nullable=False),
        sa.Column("voided_by", sa.String(), nullable=False),
        sa.CheckConstraint("(voided_at IS NULL) = (void_reason = '')", name=op.f("ck_weight_tickets_void_says_why")),
        sa.CheckConstraint("deductions >= 0", name=op.f("ck_weight_tickets_deductions_not_negative")),
        sa.CheckConstraint(
            "division > 0 AND gross % division = 0 AND tare % division = 0", name=op.f("ck_weight_tickets_on_division")
        ),
        sa.CheckConstraint("net = gross - tare - deductions", name=op.f("ck_weight_tickets_net_adds_up")),
        sa.CheckConstraint("net > 0", name=op.f("ck_weight_tickets_net_above_zero")),
        sa.CheckConstraint("tare > 0 AND gross > tare", name=op.f("ck_weight_tickets_gross_over_tare")),
        sa.ForeignKeyConstraint(["donor_id"], ["donors.id"], name=op.f("fk_weight_tickets_donor_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_weight_tickets")),
        sa.UniqueConstraint("number", name=op.f("uq_weight_tickets_number")),
        info={"key": ("number",)},
    )
    with op.batch_alter_table("weight_tickets", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_weight_tickets_donor_id"), ["donor_id"], unique=False)

    op.create_table(
        "holds",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("phone", sa.String(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("until", sa.DateTime(timezone=True), nullable=False),
        sa.Column("deposit_cents", sa.Integer(), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_why", sa.String(), nullable=False),
        sa.Column("by_", sa.String(), nullable=False),
        sa.CheckConstraint("until > made_at", name=op.f("ck_holds_ends_after_start")),
        sa.ForeignKeyConstraint(["part_id"], ["parts.id"], name=op.f("fk_holds_part_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_holds")),
        sa.UniqueConstraint("number", name=op.f("uq_holds_number")),
        info={"key": ("number",)},
    )
    with op.batch_alter_table("holds", schema=None) as batch_op:
        batch_op.create_index(
            "uq_holds_open_part",
            ["part_id"],
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        )

    op.create_table(
        "part_facts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("fact_id", sa.Integer(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("mm", sa.Float(precision=53), nullable=True),
        sa.Column("u_mm", sa.Float(precision=53), nullable=True),
        sa.Column("tool", sa.String(), nullable=False),
        sa.Column("known_by", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["fact_id"], ["facts.id"], name=op.f("fk_part_facts_fact_id")),
        sa.ForeignKeyConstraint(["part_id"], ["parts.id"], name=op.f("fk_part_facts_part_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_facts")),
        sa.UniqueConstraint("part_id", "fact_id", name=op.f("uq_part_facts_part_id_fact_id")),
        info={"key": ("part_id", "fact_id")},
    )
    op.create_table(
        "sale_lines",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("ticket_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("grade", sa.String(), nullable=False),
        sa.Column("said", sa.String(), nullable=False),
        sa.Column("price_cents", sa.Integer(), nullable=False),
        sa.Column("discount_cents", sa.Integer(), nullable=False),
        sa.Column("core_cents", sa.Integer(), nullable=False),
        sa.Column("keeps_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("live", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "core_cents >= 0 AND discount_cents BETWEEN 0 AND price_cents", name=op.f("ck_sale_lines_money_in_range")
        ),
        sa.ForeignKeyConstraint(["part_id"], ["parts.id"], name=op.f("fk_sale_lines_part_id")),
        sa.ForeignKeyConstraint(["ticket_id"], ["sale_tickets.id"], name=op.f("fk_sale_lines_ticket_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sale_lines")),
        sa.UniqueConstraint("ticket_id", "number", name=op.f("uq_sale_lines_ticket_id_number")),
        info={"key": ("ticket_id", "number")},
    )
    with op.batch_alter_table("sale_lines", schema=None) as batch_op:
        batch_op.create_index(
            "uq_sale_lines_live_part",
            ["part_id"],
            unique=True,
            sqlite_where=sa.text("live"),
            postgresql_where=sa.text("live"),
        )

    op.create_table(
        "survey_measures",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("survey_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("typed", sa.String(), nullable=False),
        sa.Column("mm", sa.Float(precision=53), nullable=False),
        sa.Column("u_mm", sa.Float(precision=53), nullable=False),
        sa.Column("tool", sa.String(), nullable=False),
        sa.CheckConstraint("u_mm >= 0", name=op.f("ck_survey_measures_doubt_not_negative")),
        sa.ForeignKeyConstraint(["survey_id"], ["frame_surveys.id"], name=op.f("fk_survey_measures_survey_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_survey_measures")),
        sa.UniqueConstraint("survey_id", "name", name=op.f("uq_survey_measures_survey_id_name")),
        info={"key": ("survey_id", "name")},
    )
    triggers.create()


def downgrade() -> None:
    """Take it back."""
    triggers.drop()
    op.drop_table("survey_measures")
    with op.batch_alter_table("sale_lines", schema=None) as batch_op:
        batch_op.drop_index("uq_sale_lines_live_part", sqlite_where=sa.text("live"), postgresql_where=sa.text("live"))

    op.drop_table("sale_lines")
    op.drop_table("part_facts")
    with op.batch_alter_table("holds", schema=None) as batch_op:
        batch_op.drop_index(
            "uq_holds_open_part", sqlite_where=sa.text("ended_at IS NULL"), postgresql_where=sa.text("ended_at IS NULL")
        )

    op.drop_table("holds")
    with op.batch_alter_table("weight_tickets", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_weight_tickets_donor_id"))

    op.drop_table("weight_tickets")
    with op.batch_alter_table("vin_readings", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_vin_readings_donor_id"))

    op.drop_table("vin_readings")
    op.drop_table("vehicle_holds")
    op.drop_table("removals")
    with op.batch_alter_table("parts", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_parts_place_id"))
        batch_op.drop_index(
            "ix_parts_not_offered",
            sqlite_where=sa.text("standing IN ('held', 'on ticket', 'blocked')"),
            postgresql_where=sa.text("standing IN ('held', 'on ticket', 'blocked')"),
        )
        batch_op.drop_index(
            "ix_parts_lump",
            sqlite_where=sa.text("lump_id IS NOT NULL"),
            postgresql_where=sa.text("lump_id IS NOT NULL"),
        )
        batch_op.drop_index(
            "ix_parts_free", sqlite_where=sa.text("standing = 'free'"), postgresql_where=sa.text("standing = 'free'")
        )
        batch_op.drop_index(batch_op.f("ix_parts_donor_id"))
        batch_op.drop_index(batch_op.f("ix_parts_design_id"))

    op.drop_table("parts")
    op.drop_table("frame_surveys")
    op.drop_table("donor_identities")
    op.drop_table("donor_facts")
    op.drop_table("donor_costs")
    op.drop_table("wants")
    op.drop_table("model_facts")
    with op.batch_alter_table("donors", schema=None) as batch_op:
        batch_op.drop_index("uq_donors_vin", sqlite_where=sa.text("vin <> ''"), postgresql_where=sa.text("vin <> ''"))
        batch_op.drop_index(batch_op.f("ix_donors_model_id"))

    op.drop_table("donors")
    with op.batch_alter_table("design_uses", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_design_uses_model_id_design_id"))

    op.drop_table("design_uses")
    op.drop_table("design_facts")
    op.drop_table("asks")
    op.drop_table("sale_tickets")
    with op.batch_alter_table("rule_types", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_rule_types_part_type_id_end"))

    op.drop_table("rule_types")
    op.drop_table("rule_operations")
    op.drop_table("rule_evidence")
    op.drop_table("rule_date_moves")
    op.drop_table("rule_consequences")
    op.drop_table("rule_conditions")
    op.drop_table("rule_companions")
    op.drop_table("models")
    op.drop_table("frame_points")
    op.drop_table("designs")
    op.drop_table("settings")
    op.drop_table("rules")
    op.drop_table("refusals")
    with op.batch_alter_table("print_jobs", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_print_jobs_tag"))

    op.drop_table("print_jobs")
    op.drop_table("plate_words")
    with op.batch_alter_table("places", schema=None) as batch_op:
        batch_op.drop_index("uq_places_tag", sqlite_where=sa.text("tag <> ''"), postgresql_where=sa.text("tag <> ''"))

    op.drop_table("places")
    op.drop_table("people")
    op.drop_table("part_types")
    with op.batch_alter_table("history", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_history_subject"))

    op.drop_table("history")
    op.drop_table("frame_designs")
    op.drop_table("facts")
    op.drop_table("drafts")
    op.drop_table("counters")
    op.drop_table("contacts")
    op.drop_table("aliases")
