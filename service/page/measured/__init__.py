"""How long an alternative took, on its screen: measured beside predicted, reported, taken back."""
