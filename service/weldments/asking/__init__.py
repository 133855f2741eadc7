"""What is asked for a weldment in the making: how many by when, on which tables, by which rules."""
