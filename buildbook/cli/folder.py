"""Where a book's records are, found without loading what reads them."""

from pathlib import Path


def folder_of(content: Path) -> Path:
    """Return the folder of records; being beside or inside it is understood too."""
    if not (content / "book.yml").is_file():
        if (content / "content" / "book.yml").is_file():
            return content / "content"
        if not content.exists() and content.name == "content" and Path("book.yml").is_file():
            return Path()
    return content
