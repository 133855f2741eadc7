"""The shop's own hardware from files of other programs: solids read, marks put to them, and the item that comes of both."""
