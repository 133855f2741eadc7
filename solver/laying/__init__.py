"""The weldment as it lies: lies, laid parts and what they touch, load order, straight moves, what each part asks for."""
