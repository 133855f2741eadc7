"""The doors: command line, HTTP service, documents on the wire, jobs, sheets, the demo shop."""

import os

# The planner's matrices are small and its processes many: threads inside BLAS only spin against each other. Read when
# numpy is first imported, and by every child process.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
