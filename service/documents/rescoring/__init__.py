"""What changed rules do to plans, on the wire: what is kept of a plan for it, the question, the answer."""
