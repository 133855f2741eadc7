"""When something is missing: what is said of a table that stands, and the plan that changes as little of it as possible."""
