"""Stored weldments: kept in versions under an id, and looked up where a document names one."""
