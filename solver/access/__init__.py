"""What hardware shuts: the torch, other hardware, the routes in and out."""
