"""The page put on top of the HTTP interface: its screens, what they load, and problems told as screens."""

from __future__ import annotations

from fastapi import Depends, FastAPI

from service.http.guard.queries import known_parameters
from service.page import settings_screen, sign_in, static_files
from service.page.asking import routes as asking
from service.page.comparing import routes as comparing
from service.page.jobs import job_routes, pictures
from service.page.jobs import routes as jobs
from service.page.measured import routes as measured
from service.page.printing import routes as printing
from service.page.problem_screens import ProblemScreens
from service.page.rules import routes as rules
from service.page.store import routes as store
from service.page.weldments import file_reading, keeping
from service.page.weldments import routes as weldments

ROUTERS = (
    jobs.router,
    pictures.router,
    job_routes.router,
    comparing.router,  # behind the jobs: its addresses are wider than theirs
    measured.router,
    printing.router,
    file_reading.router,
    weldments.router,
    keeping.router,
    asking.router,
    store.router,
    rules.router,
    settings_screen.router,
    sign_in.router,
    static_files.router,
)
"""Every screen."""


def add_page(app: FastAPI) -> FastAPI:
    """Let an application serve the planner's page at ``/`` beside its interface for programs, and return it."""
    static_files.static_files()  # read before anybody waits for them
    for router in ROUTERS:
        app.include_router(router, dependencies=[Depends(known_parameters)])
    app.add_middleware(ProblemScreens)
    return app
