"""What leaves the book on paper or as files of its own."""
