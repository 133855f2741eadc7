"""Planning jobs: their use cases, one port (submit, cancel, progress, result), the child process that solves and its folder."""
