"""STEP files (ISO 10303-21; AP203, AP214, AP242): their solids as parts of a weldment."""
