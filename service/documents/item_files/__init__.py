"""What is said of hardware that is read from a file of another program, and what was read, as documents."""
