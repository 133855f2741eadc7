"""A weldment alone, before anything is planned: its parts, its welds, the seams where more could be."""
