"""Variants on the wire: other sizes of a weldment, or its mirror image, that run on one set-up."""
