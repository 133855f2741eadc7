"""Ledgers of what has been found out, kept by content: for the next lattice position, the next request and the next run.

A ledger is known by what it answers and by the content of all that its answers depend on, so that an answer never outlives what
it was computed for: what changed has another name. No plan depends on what a ledger knows; it only comes sooner.
"""
