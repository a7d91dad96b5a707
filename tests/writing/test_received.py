"""Sessions that come from the page: read first, kept whole, and never in place of another."""

from pathlib import Path

import pytest
from sites import BASE, FOUR_LINES

from buildbook.records.problems import Severity
from buildbook.records.read import read
from buildbook.writing.received import NotSavedError, save_session


@pytest.fixture
def content(tmp_path: Path) -> Path:
    folder = tmp_path / "content"
    write(folder, BASE)
    return folder


def write(folder: Path, files: dict[str, str | bytes]) -> None:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")


def test_it_is_kept_as_it_came(content: Path) -> None:
    text = f"# a comment\n{FOUR_LINES}\n\ntitle: Später 🛩️\n"
    saved = save_session(content, text)
    assert saved.file == "sessions/2025-03-08-spater.yml"
    assert (content / saved.file).read_bytes() == text.encode()
    assert saved.findings == ()


def test_in_a_folder_a_year_where_the_book_has_them(content: Path) -> None:
    write(content, {"sessions/2024/2024-01-02.yml": FOUR_LINES.replace("2025-03-08", "2024-01-02")})
    assert save_session(content, FOUR_LINES).file == "sessions/2025/2025-03-08.yml"


def test_what_does_not_fit_the_book_is_kept_and_told(content: Path) -> None:
    saved = save_session(content, FOUR_LINES.replace("skeleton", "skelton"))
    assert [f.code for f in saved.findings] == ["unknown-step"]
    assert saved.findings[0].line == 2
    assert (content / saved.file).is_file()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("- a list\n", "not a list"),
        ("date: [2025-03-08\n", "is not closed"),
        (FOUR_LINES.replace("2h30", "soon"), "`soon` is not a duration"),
        (FOUR_LINES + "colour: green\n", "colour"),
        (FOUR_LINES + "date: 2025-03-09\n", "twice"),
        ("step: fin/skeleton\nhours: 2h\n", "date"),
    ],
)
def test_what_would_be_lost_is_not_kept(content: Path, text: str, said: str) -> None:
    with pytest.raises(NotSavedError) as error:
        save_session(content, text)
    assert error.value.code == "wrong"
    assert any(said in f"{f.message} {f.advice}" for f in error.value.findings), (
        error.value.findings
    )
    assert all(f.severity is Severity.ERROR for f in error.value.findings[:1])
    assert not (content / "sessions").exists()


def test_one_of_the_same_date_and_title(content: Path) -> None:
    """Also where it has another file's name, or differs in capitals."""
    there = FOUR_LINES + "title: Spar\n"
    write(content, {"sessions/old-name.yml": there})
    with pytest.raises(NotSavedError, match=r"sessions/old-name\.yml; give it a title") as error:
        save_session(content, there.replace("Spar", "SPAR"))
    assert error.value.code == "taken"
    assert save_session(content, there).file == "sessions/old-name.yml"  # the very same
    assert [f.name for f in (content / "sessions").iterdir()] == ["old-name.yml"]


def test_a_file_of_that_name_which_is_another_session(content: Path) -> None:
    other = FOUR_LINES.replace("2025-03-08", "2025-02-01")
    write(content, {"sessions/2025-03-08.yml": other})
    assert save_session(content, FOUR_LINES).file == "sessions/2025-03-08-2.yml"
    assert (content / "sessions/2025-03-08.yml").read_text(encoding="utf-8") == other
    assert len(read(content).book.sessions) == 2


def test_a_folder_that_leads_elsewhere(content: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (content / "sessions").symlink_to(elsewhere)
    with pytest.raises(NotSavedError, match="outside of the book"):
        save_session(content, FOUR_LINES)
    assert list(elsewhere.iterdir()) == []


def test_a_disk_that_cannot_be_written(content: Path) -> None:
    (content / "sessions").write_text("a file where the folder belongs", encoding="utf-8")
    with pytest.raises(NotSavedError, match="cannot be written") as error:
        save_session(content, FOUR_LINES)
    assert error.value.code == "disk"
    assert error.value.findings == ()


def test_without_a_book(tmp_path: Path) -> None:
    with pytest.raises(NotSavedError, match="no folder"):
        save_session(tmp_path / "nowhere", FOUR_LINES)
