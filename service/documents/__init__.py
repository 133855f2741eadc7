"""The wire, version 1: documents to domain values and back; nothing else knows JSON.

Every reader takes bytes, text or plain values and raises `inventory.errors.InvalidDocument` with every fault at once.
"""

from service.documents.items import item_document, read_item
from service.documents.plan_document import plan_document, read_plan, sound_plan_document
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
