"""Quotes: the requests of an inquiry planned at few quantities each, spread over workers, priced at all that are wanted."""
