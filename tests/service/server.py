"""Serve like `holdwright serve --demo`, with the planner tests steer: python server.py ENVIRONMENT-AS-JSON."""

from __future__ import annotations

import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

if __name__ == "__main__":
    from service.command_line.serve import serve
    from service.settings import Settings
    from tests.service.planners import by_name

    sys.exit(serve(Settings.read(json.loads(sys.argv[1])), demo=True, planner=by_name))
