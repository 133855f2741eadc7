"""Whole sorts of fixtures before any is looked at: weldments above the table, pieces on arms."""
