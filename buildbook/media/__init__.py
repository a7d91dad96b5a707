"""Photos: from an original on the builder's disk to small pictures that are safe to publish."""
