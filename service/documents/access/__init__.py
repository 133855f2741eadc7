"""Documents of keys, sign-ins and the journal of writes."""
