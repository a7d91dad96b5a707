"""Names of people in texts: every form of them goes, and no other word."""

import pytest

from buildbook.handover.naming import Naming, initials
from buildbook.records.editions import PeopleShown
from buildbook.records.person import Person


def people(*rows: tuple[str, str, str]) -> dict[str, Person]:
    return {
        slug: Person.model_validate({"person": slug, "name": name, "role": role})
        for slug, name, role in rows
    }


CREW = people(
    ("maren", "Maren Lind", "builder"),
    ("tobias", "Tobias Lind", "helper"),
    ("mark", "Mark van der Berg", "helper"),
    ("jose", "José Ríos", "inspector"),
)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Maren Lind riveted.", "M. L. riveted."),
        ("It was Maren.", "It was M. L."),
        ("Maren's vice, Marens Schraubstock", "M. L.'s vice, M. L.s Schraubstock"),
        ("TOBIAS bucked; ask tobias", "T. L. bucked; ask T. L."),
        ("Maren\n  Lind", "M. L."),
        ("tobias_bucking.jpg", "T. L._bucking.jpg"),
        ("Jose\u0301 looked, and Ríos signed", "J. R. looked, and J. R. signed"),
        ("mark the hole, said Mark", "mark the hole, said M. B."),
        ("marking, Lindau, van, der", "marking, Lindau, van, der"),
        ("the Linds", "the L.s"),
    ],
)
def test_initials_in_texts(text: str, shown: str) -> None:
    assert Naming(CREW, "initials").in_text(text) == shown


def test_a_name_of_several_is_nobodys() -> None:
    assert Naming(CREW, "roles").in_text("the Linds") == "the (name)s"
    alone = people(("maren", "Maren Lind", "builder"))
    assert Naming(alone, "initials").in_text("Mrs Lind came") == "Mrs M. L. came"


def test_roles_are_numbered_where_there_are_several() -> None:
    naming = Naming(CREW, "roles")
    assert [naming.person(p) for p in CREW.values()] == [
        ("builder", "Builder"),
        ("helper-1", "Helper 1"),
        ("helper-2", "Helper 2"),
        ("inspector", "Inspector"),
    ]


def test_names_stay_where_names_are_shown() -> None:
    naming = Naming(CREW, "names")
    assert naming.in_text("Maren and Tobias") == "Maren and Tobias"
    assert not naming.changes


def test_one_who_is_private_among_names() -> None:
    naming = Naming(CREW, "names", ["tobias"])
    assert naming.in_text("Maren Lind and Tobias Lind") == "Maren Lind and Helper"
    assert naming.slug("tobias") == "helper"
    assert naming.slug("maren") == "maren"


@pytest.mark.parametrize("shown", ["initials", "roles"])
def test_no_two_become_one(shown: PeopleShown) -> None:
    crew = people(*((f"p{n}", f"Ada Fen{n}", "helper") for n in range(20)))
    naming = Naming(crew, shown)
    assert len({naming.person(p) for p in crew.values()}) == 20
    assert len({naming.slug(name) for name in crew}) == 20


def test_a_name_nobody_knows_is_not_shown_either() -> None:
    naming = Naming(CREW, "initials")
    assert naming.slug("tobais") == "not-named"
    assert naming.missed


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Maren Lind", "M. L."),
        ("Mark van der Berg", "M. B."),
        ("Ottoline", "O."),
        ("李 明", "李. 明."),
    ],
)
def test_initials(name: str, short: str) -> None:
    assert initials(name) == short
