"""What changed rules do to the plans of a store, and how far rules may move before a plan changes."""
