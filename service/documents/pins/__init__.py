"""Described pieces on the wire: what every alternative must, or must not, contain; and as words of a command line."""
