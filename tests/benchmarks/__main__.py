"""Where the time goes, how it grows, and against what: `python -m tests.benchmarks WORD`; `--help` says what there is."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from pathlib import Path

from tests.benchmarks import (
    cancels,
    compare,
    flood,
    frames,
    growth,
    limits,
    quote_lines,
    scale,
    service_load,
    sheets,
    solvers,
    space_view,
    startup,
    statics,
    what_if,
    worker_groups,
)


def main() -> None:
    """Print the figures of one of the benchmarks."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="CPU seconds of one process, limits too.")
    benchmarks = parser.add_subparsers(dest="benchmark", required=True, metavar="WORD")
    _frames(benchmarks.add_parser("frames", help="to the first checked plan, to the proof, to the alternatives, to a re-plan"))
    _statics(benchmarks.add_parser("statics", help="the same search with the rule book's loads and without any"))
    _startup(benchmarks.add_parser("startup", help="of the command line: to the help, to the start of solving, what is imported"))
    _compare(benchmarks.add_parser("compare", help="the same jobs in this checkout and in another one, side by side"))
    _growth(benchmarks.add_parser("growth", help="with more parts, more holes, more items on the shelf, and the exponents"))
    _solvers(benchmarks.add_parser("solvers", help="the same rows by our CP-SAT, CP-SAT as it comes, HiGHS, and enumeration"))
    _sheets(benchmarks.add_parser("sheets", help="the setup sheet, the drawings and files for other programs, by format"))
    _space(benchmarks.add_parser("space", help="how many pictures a second the view in space draws while it is turned"))
    _workers(benchmarks.add_parser("workers", help="how many jobs two workers of the queue solve in the time of one"))
    _quotes(
        benchmarks.add_parser(
            "quotes", help="how many quote lines two workers price in the time of one; lines against single plans"
        )
    )
    _service(benchmarks.add_parser("service", help="how soon a server answers while all its workers solve, and sees a cancel"))
    _flood(benchmarks.add_parser("flood", help="a server asked for far too much at once: what others wait, and its stop"))
    _scale(benchmarks.add_parser("scale", help="a paper model of up to 1,000 workers, fed with what each step takes here"))
    _cancel(benchmarks.add_parser("cancel", help="demo jobs stopped at drawn moments: until the plan is handed over"))
    _limits(benchmarks.add_parser("limits", help="what limits of a few seconds give on every demo job"))
    _what_if(benchmarks.add_parser("whatif", help="changed rules held against stored plans, on both databases"))
    asked = parser.parse_args()
    asked.run(asked)


def _what_if(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--plans", type=int, default=what_if.PLANS)
    parser.set_defaults(run=lambda asked: what_if.report(asked.plans))


def _frames(parser: argparse.ArgumentParser) -> None:
    _limited(parser, frames.LIMIT_S)
    parser.add_argument("jobs", nargs="*", default=frames.JOBS, metavar="JOB")
    parser.set_defaults(run=lambda asked: _each(frames.report, asked.jobs, asked.limit))


def _statics(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("jobs", nargs="*", default=statics.JOBS, metavar="JOB")
    parser.set_defaults(run=lambda asked: statics.report(asked.jobs))


def _startup(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--runs", type=int, default=startup.RUNS)
    parser.set_defaults(run=lambda asked: startup.report(asked.runs))


def _compare(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("other", type=Path, metavar="OTHER_CHECKOUT", help="a folder, such as a git worktree of an older commit")
    parser.add_argument("jobs", nargs="*", default=compare.JOBS, metavar="JOB")
    parser.add_argument("--rounds", type=int, default=compare.ROUNDS)
    parser.add_argument("--several", action="store_true", help=f"with {compare.SEVERAL} alternatives too")
    _limited(parser, compare.LIMIT_S)
    parser.set_defaults(run=lambda asked: compare.report(asked.other, asked.jobs, asked.rounds, asked.limit, asked.several))


def _growth(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--only", choices=growth.SERIES, help="one series instead of all")
    _limited(parser, growth.LIMIT_S)
    parser.set_defaults(run=lambda asked: _each(growth.report, [asked.only] if asked.only else growth.SERIES, asked.limit))


def _solvers(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("jobs", nargs="*", default=solvers.JOBS, metavar="JOB")
    _limited(parser, solvers.LIMIT_S)
    parser.set_defaults(run=lambda asked: _each(solvers.report, asked.jobs, asked.limit))


def _sheets(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("jobs", nargs="*", default=sheets.JOBS, metavar="JOB")
    parser.set_defaults(run=lambda asked: _all_of(asked.jobs))


def _space(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("jobs", nargs="*", default=space_view.JOBS, metavar="JOB")
    parser.add_argument("--busy", type=int, default=0, help="so many other processes never rest meanwhile")
    parser.set_defaults(run=lambda asked: _turned(asked.jobs, asked.busy))


def _workers(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--jobs", type=int, default=worker_groups.JOBS)
    parser.set_defaults(run=lambda asked: worker_groups.report(asked.jobs))


def _quotes(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--lines", type=int, default=quote_lines.LINES)
    parser.add_argument("--weldments", type=int, default=quote_lines.WELDMENTS)
    parser.add_argument("--checked", type=int, default=quote_lines.CHECKED, help="so many lines are planned one by one too")
    parser.set_defaults(run=lambda asked: quote_lines.report(asked.lines, asked.weldments, asked.checked))


def _service(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--runner", choices=("embedded", "queue"), default="embedded")
    parser.add_argument("--db", choices=("sqlite", "postgresql"), default="sqlite")
    parser.set_defaults(run=lambda asked: service_load.report(asked.runner, asked.db))


def _scale(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--solve", type=float, default=scale.SOLVE_S, metavar="SECONDS", help="what a solve takes")
    parser.add_argument("--events", type=int, default=scale.EVENTS, help="batches of progress a solve writes")
    parser.set_defaults(run=lambda asked: scale.report(asked.solve, asked.events))


def _flood(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--stops", type=int, default=flood.STOPS, help="so many servers told to stop with work in hand")
    parser.set_defaults(run=lambda asked: flood.report(asked.stops))


def _cancel(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("jobs", nargs="*", metavar="JOB")
    parser.add_argument("--moments", type=int, default=cancels.MOMENTS, help="so many stops a job")
    parser.add_argument("--longest", type=float, default=cancels.LONGEST_S, metavar="SECONDS", help="no stop later than this")
    parser.set_defaults(run=lambda asked: cancels.report(asked.jobs, asked.moments, asked.longest))


def _limits(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("jobs", nargs="*", metavar="JOB")
    parser.add_argument("--seconds", type=float, nargs="+", default=limits.SECONDS, help="the limits")
    parser.set_defaults(run=lambda asked: limits.report(asked.jobs, asked.seconds))


def _all_of(jobs: Iterable[str]) -> None:
    for job in jobs:
        sheets.report(job)


def _turned(jobs: Iterable[str], busy: int) -> None:
    for job in jobs:
        space_view.report(job, busy)


def _each(report: Callable[[str, float], None], names: Iterable[str], limit: float) -> None:
    for name in names:
        report(name, limit)


def _limited(parser: argparse.ArgumentParser, limit: float) -> None:
    parser.add_argument("--limit", type=float, default=limit, metavar="SECONDS", help="of each planning or solve")


if __name__ == "__main__":
    main()
