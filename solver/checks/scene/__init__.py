"""A plan document read and set up in space: parts, pieces, faces, weld wedges, contact rows."""
