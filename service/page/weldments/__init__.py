"""The screen on which a weldment is described: parts by form, placed by their faces, seams where they touch."""
