"""Views of one alternative, to scale: from above, from a side, enlarged, and a stack at a time as it stands."""
