"""Words that several commands say."""

from collections.abc import Collection

from buildbook.records.problems import did_you_mean


def many(count: int, noun: str) -> str:
    """Say how many there are: `1 step`, `2,040 steps`."""
    return f"{count:,} {noun}{'' if count == 1 else 's'}"


def there_is_no(noun: str, name: str, known: Collection[str], several: str = "") -> str:
    """Say that nothing of a kind bears a name, and which one is near it.

    With `several`, the plural of the noun, all are listed where none is near and they are few.
    """
    advice = did_you_mean(name, known, name=several)
    return f"there is no {noun} `{name}`{f'; {advice}' if advice else ''}"
