"""The checker's own geometry and algebra, shared with nobody."""
