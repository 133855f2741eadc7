"""Faces, hulls, contact patches, distances; the only user of shapely."""
