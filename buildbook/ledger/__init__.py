"""What is computed from a Book, a module a question. Nothing here touches files."""
