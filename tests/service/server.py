"""Serve like `holdwright serve --demo`, or solve like `holdwright worker`, with the planner tests steer.

`python server.py ENVIRONMENT-AS-JSON [worker] [real]`; `real` takes the product's own planner instead.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

if __name__ == "__main__":
    from service.command_line.serve import serve
    from service.command_line.worker import work_with
    from service.settings import Settings
    from solver.planning import plan
    from tests.service.planners import by_name

    settings = Settings.read(json.loads(sys.argv[1]))
    planner = plan if "real" in sys.argv else by_name
    sys.exit(work_with(settings, planner) if "worker" in sys.argv else serve(settings, demo=True, planner_of=lambda: planner))
