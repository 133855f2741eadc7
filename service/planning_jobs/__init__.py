"""Planning jobs: one port (submit, cancel, progress, result), the child process that solves, the spool between the two."""
