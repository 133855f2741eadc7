"""What the hands do to make the new plan of the one that stands: who is who, what is in the way, in which order, and why."""
