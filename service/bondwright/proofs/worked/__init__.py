"""What worked cases hold of a pack: a mistake that none of them notices, and so may be published by nobody."""
