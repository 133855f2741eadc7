"""The rule book: every limit, weight, rate and price the solver goes by."""
