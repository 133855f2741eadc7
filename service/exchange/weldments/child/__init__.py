"""Files are read in a process of their own, behind limits and a fence: a hostile file costs that process and nothing else."""
