"""Rule books that are kept: which a document may start from, what changes them, what is told of them."""
