"""The records of a build: what they are, how they are read, and what can be wrong with them."""
