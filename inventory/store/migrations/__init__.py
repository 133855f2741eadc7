"""The schema's history, oldest first; every step goes up and down with the rows it meets."""
