"""A week on one shelf: jobs with days, tables and kits as values, how a plan's alternative may stand, and the price of it all."""
