"""Which fields the published book leaves out."""

from buildbook.records.private import private_fields
from buildbook.records.squawk import Disposition, Squawk


def test_letters_in_full_are_private() -> None:
    assert private_fields(Disposition) == {"correspondence"}
    assert private_fields(Squawk) == frozenset()
