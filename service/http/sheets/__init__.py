"""Sheets over HTTP: which format is answered, under which name, drawn beside the server and kept for whoever asks again."""
