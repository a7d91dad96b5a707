"""Which fields the published book leaves out."""

from buildbook.records.private import CORRESPONDENCE, private_kinds
from buildbook.records.squawk import Disposition, Squawk


def test_letters_in_full_are_private() -> None:
    assert private_kinds(Disposition) == {"correspondence": CORRESPONDENCE}
    assert private_kinds(Squawk) == {}
