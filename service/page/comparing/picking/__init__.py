"""What of an alternative was picked in a drawing or a list, and all that is known of it."""
