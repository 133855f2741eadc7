"""From a model's choice to a complete alternative in the table frame."""
