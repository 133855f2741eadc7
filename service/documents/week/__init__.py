"""A week on one shelf, on the wire: the jobs and their days, and the answer."""
