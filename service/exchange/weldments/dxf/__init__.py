"""Flat drawings as DXF files have them: closed outlines are plates, what lies inside them their cut-outs."""
