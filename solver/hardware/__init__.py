"""What could be put where: stacks, the faces their pads meet, holes, clamp lines, and the coded reason where not."""
