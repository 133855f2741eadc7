"""The plan as bodies in space, for viewers and for other programs of construction."""
