"""Copies of the database, stock and service together: made while servers run, put back into either kind of database."""
