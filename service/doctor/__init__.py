"""What stands between a server and its work: one look at everything it needs, each with what to do."""
