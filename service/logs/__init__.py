"""The log: one form for all lines, what they are about, no more of the same than helps, no secrets."""
