"""The top view as a DXF drawing for programs of construction: `drawing.as_dxf`."""
