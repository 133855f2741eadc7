"""Quick answers: load cases shown to be held by forces that balance them; known twists that undo a choice. The rest is left to
the program."""
