"""Routes of weeks: many jobs on the same tables and pieces."""
