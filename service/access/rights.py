"""Which roles may do what: one table from an operation's id to roles. What is not in it, nobody may do.

A reader looks at everything but keys, webhooks and the journal of writes. A planner asks for plans and promises pieces. A
storekeeper promises, hands out, takes back and counts. An engineer does what a planner does, changes catalogue and rule books,
has webhooks and reads the journal of writes. An admin may do everything, and alone makes keys.
"""

from __future__ import annotations

from collections.abc import Mapping

from service.roles import ROLES, Role

_PLANNING: tuple[Role, ...] = ("planner", "engineer", "admin")
_PROMISING: tuple[Role, ...] = ("planner", "storekeeper", "engineer", "admin")
_STOREKEEPING: tuple[Role, ...] = ("storekeeper", "admin")
_CATALOGUE: tuple[Role, ...] = ("engineer", "admin")
_ADMIN: tuple[Role, ...] = ("admin",)

_BY_ROLES: tuple[tuple[tuple[Role, ...], tuple[str, ...]], ...] = (
    (
        ROLES,
        (
            "list_plans", "read_plan", "read_advice", "follow_plan", "follow_plan_headers",
            "read_quote", "follow_quote", "follow_quote_headers", "stream_quote_lines", "stream_quote_lines_headers",
            "export_quote", "read_price_curve", "read_sheet", "read_sheet_headers",
            "read_breakpoints",
            "read_week", "read_week_chart",
            "list_items", "read_item", "list_tables", "read_table",
            "list_stock", "read_stock", "list_journal", "list_hits", "export_stock",
            "list_reservations", "read_reservation",
            "list_rule_books", "read_rule_book", "read_rule_book_in_use", "list_rule_book_versions", "read_rule_book_version",
            "compare_rule_books", "export_rule_books",
            "list_weldments", "read_stored_weldment", "list_weldment_versions",
            "read_metrics", "who_am_i",
            "list_plan_measured", "list_measured", "read_time_proposal", "draw_measured",
            "show_jobs", "show_job_rows", "show_picture", "show_job", "show_progress", "show_best_so_far",
            "show_rules", "show_what_if",
            "show_store", "show_item", "show_reservations", "show_reservation", "show_order",
            "show_lists", "show_advice", "show_advice_answer",
            "show_alternative", "show_view", "show_print", "show_measured",
        ),
    ),
    (
        _PLANNING,
        ("submit_plan", "cancel_plan", "replan", "ask_why", "check_plan", "submit_advice", "cancel_advice", "ask_what_if"),
    ),
    (_PLANNING, ("submit_quote", "cancel_quote")),
    (_PLANNING, ("read_weldment_file", "propose_seams")),
    (_PLANNING, ("submit_week", "cancel_week")),
    (_PLANNING, ("draw_weldment", "read_item_file")),
    (_PLANNING, ("store_weldment", "change_stored_weldment")),
    (_PLANNING, ("stop_job", "ask_again", "ask_repaired", "show_ask", "keep_ask", "find_asked_rules", "read_asked_request")),
    (
        _PLANNING,
        (
            "show_starts", "start_draft", "show_draft", "edit_draft", "remove_draft", "read_draft_space", "read_draft_document",
            "read_file_here", "show_keeping", "store_draft",
        ),
    ),
    (_PROMISING, ("report_measured", "import_measured", "withdraw_measured", "report_here", "withdraw_here")),
    (_PROMISING, ("reserve", "reserve_week", "confirm_reservation", "release", "move", "expire_reservations")),
    (_PLANNING, ("ask_advice", "stop_advice", "replan_here", "ask_why_here")),
    (_PROMISING, ("make_reservation", "confirm_proposal", "release_promise", "move_promise")),
    (_STOREKEEPING, ("change_count", "hand_kit_out", "take_kit_back", "look_through_list", "write_list")),
    (_STOREKEEPING, ("hand_out", "take_back", "record_entry", "recount_stock", "import_stock")),
    (_CATALOGUE, ("add_item", "change_item", "remove_item", "add_table", "change_table", "remove_table", "list_writes")),
    (_CATALOGUE, ("make_rule_book", "add_rule_book_version", "use_rule_book", "import_rule_books", "save_what_if")),
    (
        _CATALOGUE,
        (
            "add_webhook", "list_webhooks", "read_webhook", "change_webhook", "remove_webhook", "test_webhook",
            "list_deliveries", "read_delivery", "retry_delivery",
        ),
    ),
    (_ADMIN, ("list_keys", "make_key", "revoke_key")),
)  # fmt: skip

RIGHTS: Mapping[str, tuple[Role, ...]] = {operation: roles for roles, operations in _BY_ROLES for operation in operations}
"""The roles that may do what needs a key."""

UNASKED_FOR = frozenset({"check_liveness"})
"""What is answered whoever asks, however often, without a look at the database."""

OPEN = UNASKED_FOR | {
    "check_readiness", "list_schemas", "read_schema", "list_problems", "read_problem", "read_reference", "openapi",
    "sign_in", "sign_out", "show_sign_in", "sign_in_here", "sign_out_here", "show_settings", "keep_settings", "read_static",
}  # fmt: skip
"""What needs no key."""
