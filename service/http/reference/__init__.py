"""The interface's reference: OpenAPI 3.1 with examples, and the same as a page that loads nothing from anywhere."""
