"""Documents that are only ever sent back, with what all of them share."""
