"""Learning from the floor: the time rules fitted to measured setups and cycles, with how sure that is; it only proposes."""
