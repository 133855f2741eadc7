"""Weldments: as files of other programs have them, as files for those, and as the shop keeps them, in versions."""
