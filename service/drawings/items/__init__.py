"""Hardware of the catalogue made visible: one item, or many beside each other."""
