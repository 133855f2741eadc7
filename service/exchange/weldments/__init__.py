"""Weldments as files of other programs have them: what was read of one, and which program of ours reads which kind."""
