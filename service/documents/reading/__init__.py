"""From bytes to plain values, and from what is wrong with them to faults with pointers."""
