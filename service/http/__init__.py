"""The HTTP door: application, routes, problems, reference; no logic of its own."""
