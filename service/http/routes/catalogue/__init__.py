"""The shop's own hardware, from files of other programs."""
