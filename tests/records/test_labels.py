"""Labels of pieces, runs of them, and how a session's words find them."""

import pytest

from buildbook.records.labels import MAX_RUN, Piece, PieceFinder, expand_run, pieces_of
from buildbook.records.part import Part


def part(**fields: object) -> Part:
    return Part.model_validate({"part": "ST-014-L", "name": "Nose rib", **fields})


def labels(**fields: object) -> list[str]:
    pieces, wrong = pieces_of(part(**fields))
    assert not wrong
    return [p.label for p in pieces]


@pytest.mark.parametrize(
    ("words", "run"),
    [
        ("03", ["03"]),
        ("01 to 03", ["01", "02", "03"]),
        ("1..3", ["1", "2", "3"]),
        ("1 \N{EN DASH} 3", ["1", "2", "3"]),
        ("ST-014-L-08 to 10", ["ST-014-L-08", "ST-014-L-09", "ST-014-L-10"]),
        ("A9 to A11", ["A9", "A10", "A11"]),
        ("5 to 5", ["5"]),
        ("tail to nose", ["tail to nose"]),
    ],
)
def test_runs(words: str, run: list[str]) -> None:
    assert expand_run(words) == run


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("3 to 1", "backwards"),
        ("A1 to B3", "from one name to another"),
        (f"1 to {MAX_RUN + 1}", "5,001 pieces"),
        ("1 to 99999999999999999999", "pieces"),
    ],
)
def test_bad_runs(words: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        expand_run(words)


def test_plain_pieces_are_numbered_with_two_digits() -> None:
    assert labels(quantity="3") == ["ST-014-L-01", "ST-014-L-02", "ST-014-L-03"]
    assert labels(quantity="100")[-1] == "ST-014-L-100"
    assert labels(quantity="0") == []


def test_labels_can_be_formed() -> None:
    assert labels(quantity="2", label="{part}/{n}") == ["ST-014-L/1", "ST-014-L/2"]
    assert labels(
        quantity="2", label="{side}-{n:03}", pieces=[{"piece": "1 to 2", "side": "port"}]
    ) == ["ST-014-L-port-001", "ST-014-L-port-002"]
    assert labels(
        quantity="2",
        label="{part}-at-{position:02}",
        pieces=[{"piece": "a1 to a2", "position": "4 to 5"}],
    ) == ["ST-014-L-at-04", "ST-014-L-at-05"]


@pytest.mark.parametrize(
    "label",
    ["{n.real}", "{part.__class__}", "{0}", "{}", "{n", "{n!r}", "{n:>9999999}", "{who}", "}"],
)
def test_a_label_is_no_program(label: str) -> None:
    pieces, [wrong] = pieces_of(part(label=label, quantity="2"))
    assert pieces == []
    assert wrong.path == ("label",)
    assert "cannot be filled in" in wrong.said


def test_pieces_keep_what_is_said_of_them() -> None:
    pieces, wrong = pieces_of(
        part(
            quantity="2",
            pieces=[
                {"piece": "01 to 02", "side": "Port", "position": "3 to 4", "bin": "B"},
                {"piece": "03", "spare": "yes"},
                {"piece": "04", "scrapped": "2025-03-01", "replaces": "02"},
            ],
        )
    )
    assert not wrong
    assert [(p.mark, p.side, p.position, p.bin, p.spare) for p in pieces] == [
        ("01", "port", "3", "B", False),
        ("02", "port", "4", "B", False),
        ("03", None, None, None, True),
        ("04", None, None, None, False),
    ]
    assert pieces[3].scrapped is not None
    assert pieces[3].replaces == "02"


def test_too_many_pieces_stop() -> None:
    entries = [{"piece": f"{c}1 to {c}4000"} for c in "abc"]
    pieces, wrong = pieces_of(part(quantity="1", pieces=entries))
    assert len(pieces) == MAX_RUN
    assert "more than 5,000 pieces" in wrong[0].said


@pytest.fixture
def finder() -> PieceFinder:
    pieces, _ = pieces_of(
        part(
            quantity="4",
            pieces=[
                {"piece": "01 to 02", "side": "port"},
                {"piece": "03 to 04", "side": "starboard"},
                {"piece": "05", "spare": "yes", "side": "port"},
            ],
        )
    )
    return PieceFinder("ST-014-L", pieces)


def marks(pieces: list[Piece]) -> list[str]:
    return [p.mark for p in pieces]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("all", ["01", "02", "03", "04"]),
        ("ALL", ["01", "02", "03", "04"]),
        ("port", ["01", "02"]),
        ("Starboard", ["03", "04"]),
        ("05", ["05"]),
        ("5", ["05"]),
        ("st-014-l-02", ["02"]),
        ("02 to 04", ["02", "03", "04"]),
        ("ST-014-L-01 to ST-014-L-02", ["01", "02"]),
    ],
)
def test_finds(finder: PieceFinder, words: str, found: list[str]) -> None:
    assert marks(finder.find(words)) == found


@pytest.mark.parametrize(
    ("words", "said", "advice"),
    [
        ("06", "has no piece `06`", "did you mean `05`?|its pieces are"),
        ("01-03", "has no piece `01-03`", "write a run of pieces as `01 to 03`"),
        ("04 to 06", "has no piece `06`", "its pieces are 01, 02, 03, 04, 05"),
        ("²", "has no piece `²`", "its pieces are"),
        ("4 to 1", "backwards", "its pieces are"),
    ],
)
def test_does_not_find(finder: PieceFinder, words: str, said: str, advice: str) -> None:
    with pytest.raises(ValueError, match=said) as raised:
        finder.find(words)
    assert any(a in raised.value.args[1] for a in advice.split("|"))
