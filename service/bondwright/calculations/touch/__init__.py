"""What a person may touch: isolation, effectiveness of bonding, water in plastic pipe, the body."""
