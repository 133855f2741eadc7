"""HTTP routes: each translates a request into one call and its answer into a response, nothing more."""

from service.http.routes import (
    advice,
    checks,
    health,
    items,
    measured,
    plans,
    reservations,
    schemas,
    sheets,
    stock,
    tables,
    webhooks,
)
from service.http.routes.access import keys, sign_in, writes
from service.http.routes.catalogue import item_files
from service.http.routes.prices import quotes
from service.http.routes.rules import breakpoints, rule_books, what_if
from service.http.routes.weeks import week
from service.http.routes.weldments import drawing, read, seams, stored

ROUTERS = (
    plans.router,
    measured.router,
    sheets.router,
    quotes.router,
    checks.router,
    week.router,
    drawing.router,
    read.router,
    seams.router,
    stored.router,
    what_if.router,
    rule_books.router,
    breakpoints.router,
    item_files.router,
    items.router,
    advice.router,
    stock.router,
    tables.router,
    reservations.router,
    keys.router,
    sign_in.router,
    writes.router,
    webhooks.router,
    schemas.router,
    health.router,
)
"""Every resource, in the order of the reference; advice stands above the items of the stock, any of which may have its name."""
