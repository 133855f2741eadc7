"""Toys that the guides to the shelf and the doors add: a kind of hardware, an output format, a route, a demo job."""

from __future__ import annotations

import json

from service.demo import MAIN_JOB, job_document
from tests.guides.toy import Changed, New, Toy

KIND = Toy(
    "How to add an item kind",
    (
        Changed(
            "inventory/items.py",
            (
                ('"square", "pin",', '"square", "magnet", "pin",'),
                ('    "pin": KindRecord(', '    "magnet": KindRecord("locator", contacts=1),\n    "pin": KindRecord('),
            ),
        ),
        Changed(
            "service/demo/stock.json",
            (
                (
                    '  "items": [\n',
                    '  "items": [\n    '
                    + json.dumps(
                        {
                            "format": "holdwright.item/1",
                            "id": "magnet-60",
                            "kind": "magnet",
                            "name": "Switchable magnet, 60 high",
                            "pegs": [[0, 0]],
                            "turns": [0, 90, 180, 270],
                            "solids": [{"outline": [[-14, -15], [14, -15], [14, 15], [-14, 15]], "from": 0, "to": 60}],
                            "contacts": [{"at": [0, 15, 30], "normal": [0, 1, 0], "width": 28, "height": 60}],
                            "repeatability_mm": 0.1,
                            "stiffness_n_per_mm": 20000,
                            "mass_kg": 1,
                            "place_s": 1,
                            "set_s": 0,
                            "day_rate_cents": 0,
                            "price_cents": 5000,
                            "lead_days": 5,
                        }
                    )
                    + ",\n",
                ),
                ('  "stock": [\n', '  "stock": [\n    {"item": "magnet-60", "count": 6, "bin": "M1"},\n'),
            ),
        ),
    ),
    """
from dataclasses import replace
from inventory.errors import InvalidDocument
from service.demo import stock_document
from service.documents import read_stock
from service.drawings.formats import FORMATS
from service.drawings.subject import Subject
from solver import Deadline, plan
from tests import builders as b

magnet = read_stock(stock_document()).items["magnet-60"]
assert magnet.kind == "magnet"
try:
    replace(magnet, contacts=())
except InvalidDocument as refused:
    assert [fault.pointer for fault in refused.faults] == ["/contacts"]
else:
    raise AssertionError("a magnet without a face is taken")

asked, stock = b.request(b.weldment(b.tube()), alternatives=1), b.shelf((magnet, 6), (b.down_clamp(), 2))
found = plan(asked, stock, deadline=Deadline(lambda: 60.0))
assert found.status == "optimal" and {piece.item for piece in found.alternatives[0].placements} == {"magnet-60", "clamp"}
assert b'class="locator"' in FORMATS["svg"].content(Subject(found.alternatives[0], asked, stock))
""",
)

FORMAT = Toy(
    "How to add an output format",
    (
        New(
            "service/drawings/hole_list.py",
            '''"""Pieces and their holes, a line each."""

from __future__ import annotations

from service.drawings.scene import scene
from service.drawings.subject import Subject


def as_list(subject: Subject) -> str:
    """Return every piece's id and place."""
    return "".join(f"{piece.id} {piece.place}\\n" for piece in scene(subject).pieces)
''',
        ),
        Changed(
            "service/drawings/formats.py",
            (
                ("from service.drawings import ", "from service.drawings import hole_list, "),
                (
                    '        Format("pdf",',
                    '        Format("holes", "text/plain", ".holes", hole_list.as_list),\n        Format("pdf",',
                ),
            ),
        ),
    ),
    """
from service.drawings.formats import FORMATS
from tests.service.drawings.example import subject

assert list(FORMATS)[0] == "holes"
drawn = FORMATS["holes"].content(subject()).decode().splitlines()
assert drawn[0] == "p1 D4" and drawn[-1] == "p10 on p5", drawn
""",
)

ROUTE = Toy(
    "How to add a route",
    (
        New(
            "service/documents/kinds.py",
            '''"""The kinds of hardware there are."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from inventory.items import KINDS


class KindsDocument(BaseModel):
    """Every kind, and what it is for."""

    kinds: dict[str, str]


def kinds_document() -> dict[str, Any]:
    """Return the kinds as plain JSON values."""
    return {"kinds": {name: kind.purpose for name, kind in KINDS.items()}}
''',
        ),
        New(
            "service/http/routes/kinds.py",
            '''"""Kinds of hardware."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse, Response

from service.documents.kinds import KindsDocument, kinds_document
from service.http.reference.routes import answers

router = APIRouter(prefix="/v1/kinds", tags=["items"])


@router.get("", summary="Kinds of hardware", responses=answers(200, model=KindsDocument))
async def list_kinds() -> Response:
    """Return every kind of hardware and what it is for."""
    return JSONResponse(kinds_document())
''',
        ),
        Changed(
            "service/http/routes/__init__.py",
            (
                ("health, items, plans,", "health, items, kinds, plans,"),
                ("    items.router,\n", "    items.router,\n    kinds.router,\n"),
            ),
        ),
        Changed("service/access/rights.py", (('"list_items", "read_item",', '"list_items", "list_kinds", "read_item",'),)),
    ),
    """
import asyncio
import httpx
from inventory.store import Readers, open_store
from service.documents import read_item, read_table
from service.http.app import create_app
from service.records.jobs import JobRecords
from service.settings import Settings
from tests.service.asked import FixedStock
from tests.service.planners import by_name

async def called(address):
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://localhost") as client:
        return (await client.get(address)).json()

settings = Settings()
store = open_store("sqlite:///toy.sqlite3", Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
records = JobRecords(store, "toy", settings.lease, settings.key_hours).create()
app = create_app(settings, FixedStock(), records, planner=by_name)
kinds = asyncio.run(called("/v1/kinds"))["kinds"]
assert kinds["stop"] == "locator" and kinds["riser"] == "carrier", kinds
assert "/v1/kinds" in asyncio.run(called("/openapi.json"))["paths"]
store.close()
""",
)

DEMO_JOB = Toy(
    "How to add a demo job",
    (New("service/demo/jobs/second-hinge.json", job_document(MAIN_JOB).decode()),),
    """
from service.demo import job_document, job_names, stock_document
from service.documents import read_request, read_stock

assert "second-hinge" in job_names()
request, warnings = read_request(job_document("second-hinge"), read_stock(stock_document()))
assert request.weldment.parts and not warnings
""",
)

TOYS = (KIND, FORMAT, ROUTE, DEMO_JOB)
