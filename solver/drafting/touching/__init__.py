"""Where parts touch: the lines on both of two parts, which of them have room for a bead, and how beads run on in each other."""
