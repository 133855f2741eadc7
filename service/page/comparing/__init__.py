"""The screens of a finished plan: its alternatives side by side, one of them in full, what to do when something is missing."""
