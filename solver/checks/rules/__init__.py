"""The checks, one a file: each recomputes one demand on a plan from its scene."""
