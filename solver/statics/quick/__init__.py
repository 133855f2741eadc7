"""A quick, exact yes: load cases shown to be held by forces that balance them; what is not shown is left to the program."""
