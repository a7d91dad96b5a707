"""What each page says, as plain data: paths, titles, views. A host draws them."""
