"""HTTP routes: each translates a request into one call and its answer into a response, nothing more."""
