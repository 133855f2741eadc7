"""Cut lists: a row for each part of a frame, with its section by designation and its length."""
