"""The wire, version 1: documents to domain values and back; nothing else knows JSON.

Every reader takes bytes, text or plain values and raises `inventory.errors.InvalidDocument` with every fault at once. What writes
plans is loaded at once, the rest when it is first asked for: a command does not wait for what reads documents it does not take.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from service.documents.plan_document import plan_document, read_plan, sound_plan_document

if TYPE_CHECKING:
    from service.documents.items import item_document, read_item
    from service.documents.published import SCHEMAS, json_schema
    from service.documents.request import read_request, request_document
    from service.documents.rules import read_rules, rules_document
    from service.documents.stock import read_stock, stock_document
    from service.documents.tables import read_table, table_document
    from service.documents.weldment import read_weldment, weldment_document

__all__ = [
    "SCHEMAS",
    "item_document",
    "json_schema",
    "plan_document",
    "read_item",
    "read_plan",
    "read_request",
    "read_rules",
    "read_stock",
    "read_table",
    "read_weldment",
    "request_document",
    "rules_document",
    "sound_plan_document",
    "stock_document",
    "table_document",
    "weldment_document",
]

_HOMES = {
    "SCHEMAS": "service.documents.published",
    "item_document": "service.documents.items",
    "json_schema": "service.documents.published",
    "read_item": "service.documents.items",
    "read_request": "service.documents.request",
    "read_rules": "service.documents.rules",
    "read_stock": "service.documents.stock",
    "read_table": "service.documents.tables",
    "read_weldment": "service.documents.weldment",
    "request_document": "service.documents.request",
    "rules_document": "service.documents.rules",
    "stock_document": "service.documents.stock",
    "table_document": "service.documents.tables",
    "weldment_document": "service.documents.weldment",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'service.documents' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
