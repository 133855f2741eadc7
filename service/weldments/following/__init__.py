"""What follows a part that an edit changes or moves."""
