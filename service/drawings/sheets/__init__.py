"""One alternative as a file, for whoever asks: in which format, whether it can be drawn, what it is drawn from."""
