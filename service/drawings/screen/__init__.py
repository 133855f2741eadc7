"""A plan on a screen: drawings whose bodies can be picked, in the unit that whoever looks prefers."""
