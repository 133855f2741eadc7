"""Every screen of the store; an address that one of them has for itself stands before those with a place for any number."""

from __future__ import annotations

from fastapi import APIRouter

from service.page.store import advice, items, lists, orders, reservation, reservations, stock

router = APIRouter(include_in_schema=False)
for part in (stock, items, orders, reservations, reservation, lists, advice):
    router.include_router(part.router)
