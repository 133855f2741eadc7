"""JSON Schemas of the documents, generated from the models that read them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from service.documents.item_files.marks import MarksDocument
from service.documents.items import ItemDocument
from service.documents.jobs.why import WhyDocument
from service.documents.plan_schema.plan import PlanDocument
from service.documents.problem import ProblemDocument
from service.documents.quotes.inquiry import InquiryDocument
from service.documents.quotes.quote import QuoteDocument
from service.documents.reading.reading import schema_of
from service.documents.request import RequestDocument
from service.documents.rule_books.copies import RuleBooksDocument
from service.documents.rules import RulesDocument
from service.documents.seams.proposals import SeamsDocument
from service.documents.stock import StockDocument
from service.documents.tables import TableDocument
from service.documents.week.answer import WeekPlanDocument
from service.documents.week.question import WeekDocument
from service.documents.weldment import WeldmentDocument
from service.documents.weldment_files.reading_model import ReadingDocument

DIALECT = "https://json-schema.org/draft/2020-12/schema"
SCHEMAS: Mapping[str, type[BaseModel]] = {
    "weldment": WeldmentDocument,
    "reading": ReadingDocument,
    "seams": SeamsDocument,
    "table": TableDocument,
    "item": ItemDocument,
    "marks": MarksDocument,
    "stock": StockDocument,
    "request": RequestDocument,
    "plan": PlanDocument,
    "why": WhyDocument,
    "week": WeekDocument,
    "week-plan": WeekPlanDocument,
    "rules": RulesDocument,
    "inquiry": InquiryDocument,
    "quote": QuoteDocument,
    "rule-books": RuleBooksDocument,
    "problem": ProblemDocument,
}
"""The documents that have a schema, by name."""


def json_schema(name: str) -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of a document; raises KeyError if there is none of that name."""
    return {"$schema": DIALECT, **schema_of(SCHEMAS[name])}
