"""Outlines of sections in a plane: straight and round sides, arcs as facets and facets as arcs, shapes that have a name."""
