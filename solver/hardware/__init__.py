"""What could stand where: stacks, the faces their pads meet, holes, clamp lines, and the coded reason where not."""
