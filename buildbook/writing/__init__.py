"""Writing sessions: from what a builder types, clocks or jots down to a file in the book."""
