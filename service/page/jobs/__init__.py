"""The screen of jobs: what was asked for, how far it is, what came out."""
