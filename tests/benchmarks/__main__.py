"""Where the time goes: `python -m tests.benchmarks frames [--limit SECONDS] [JOB ...]`, `statics [JOB ...]`, or `startup`."""

from __future__ import annotations

import argparse

from tests.benchmarks import frames, startup, statics


def main() -> None:
    """Print the figures of one of the benchmarks."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="CPU seconds of this process, limits too.")
    benchmarks = parser.add_subparsers(dest="benchmark", required=True)
    on_frames = benchmarks.add_parser("frames", help="to the first checked plan, to the proof, to the alternatives, to a re-plan")
    on_frames.add_argument("--limit", type=float, default=frames.LIMIT_S, metavar="SECONDS")
    on_frames.add_argument("jobs", nargs="*", default=frames.JOBS, metavar="JOB")
    on_statics = benchmarks.add_parser("statics", help="the same search with the rule book's loads and without any")
    on_statics.add_argument("jobs", nargs="*", default=statics.JOBS, metavar="JOB")
    on_startup = benchmarks.add_parser(
        "startup", help="of the command line: to the help, to the start of solving, what is imported"
    )
    on_startup.add_argument("--runs", type=int, default=startup.RUNS)
    asked = parser.parse_args()
    if asked.benchmark == "frames":
        for name in asked.jobs:
            frames.report(name, asked.limit)
    elif asked.benchmark == "startup":
        startup.report(asked.runs)
    else:
        statics.report(asked.jobs)


if __name__ == "__main__":
    main()
