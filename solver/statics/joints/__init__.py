"""Joints of closed rings: whether clamps press them."""
