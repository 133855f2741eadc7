"""Files of other trades' programs, in and out."""
