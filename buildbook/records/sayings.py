"""Sentences that remember what they were made from, so that a page can say them in its language."""

from typing import Any, Self


class Saying(str):
    """An English sentence made from a message and the values in it.

    It is that sentence for whoever wants no more; `pages.words.say` says it again in the language
    in force. With `many`, the message for any number but one, the value `n` chooses.
    """

    __slots__ = ("many", "message", "values")

    message: str
    many: str
    values: dict[str, object]

    def __new__(cls, message: str, many: str = "", **values: object) -> Self:
        """Fill the values into the message, which names them as `%(name)s`."""
        chosen = many if many and values["n"] != 1 else message
        made = super().__new__(cls, chosen % values)
        made.message, made.many, made.values = message, many, values
        return made

    def __reduce__(self) -> tuple[Any, ...]:
        """Say how it is made again from what was kept on disk."""
        return _again, (self.message, self.many, self.values)


def counted(one: str, many: str, *, n: int, **values: object) -> Saying:
    """Make a sentence of one message or another by a number, `%(n)s` in it."""
    return Saying(one, many, n=n, **values)


def _again(message: str, many: str, values: dict[str, object]) -> Saying:
    return Saying(message, many, **values)
