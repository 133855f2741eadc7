"""Floors under the price of any fixture on a lattice position: from its matches, then from its screened sites."""
