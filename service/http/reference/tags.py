"""The groups of addresses, each in a sentence."""

from __future__ import annotations

TAGS = [
    {"name": name, "description": says}
    for name, says in (
        ("plans", "Ask for a fixture, follow the job, read the plan, draw it, plan again, ask why it is none other."),
        ("quotes", "Prices for many weldments at many quantities, from few plans; from which quantity a fixture pays."),
        ("checks", "Recompute a plan from its documents alone, whoever made it."),
        (
            "weeks",
            "Many jobs on the same tables and pieces: who stands where and when; the pieces of all of them promised.",
        ),
        (
            "weldments",
            "Weldments as the shop keeps them, in versions that requests name; read from files, drawn; their seams.",
        ),
        ("items", "The catalogue of hardware."),
        ("stock", "Counted pieces: what is free when, what came and broke, the journal, lists as CSV, what to buy."),
        ("tables", "The plates with their lattices of holes."),
        ("measured", "How long setups and cycles really took, beside what was predicted, and the time rules that speaks for."),
        ("reservations", "Pieces promised to jobs over spans of days, and the steps of their life."),
        ("rules", "Rule books of the shop and its customers, in versions; what changed rules would do to the plans there are."),
        ("webhooks", "Who is told of what happens here, and what became of each message."),
        ("access", "Who is asking: keys, signing in, the journal of writes."),
        ("reference", "What the interface says of itself: schemas of its documents, kinds of problems."),
        ("health", "Whether the server lives and can work, and its counts and times."),
    )
]
