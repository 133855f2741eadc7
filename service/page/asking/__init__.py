"""The screen on which a draft's request is completed and asked: how many by when, on which tables, by which rules."""
