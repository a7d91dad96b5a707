"""Text as it can be shown: on a terminal, in a comment, in one line of a file."""


def printable(text: str, instead: str = " ") -> str:
    """Put `instead` for what a terminal would not show, or would obey."""
    return "".join(c if c.isprintable() else instead for c in text)
