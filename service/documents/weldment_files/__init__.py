"""What was read of a file of another program that describes a weldment, as a document."""
