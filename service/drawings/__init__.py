"""Plans made readable: the top view as a drawing to scale and in a terminal."""
