"""Lists from outside, such as a kit's packing list, read and held against the book."""
