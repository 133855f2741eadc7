"""The screen of rules: every limit, weight, rate and price, every code of a reason or a finding."""
