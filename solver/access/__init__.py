"""What hardware shuts: the torch, other hardware, the ways in and out."""
