"""`buildbook publish`, `export` and `build --edition`."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sites import BASE, SETTINGS

from buildbook.cli.main import cli

FILES: dict[str, str] = {
    **{name: str(text) for name, text in BASE.items()},
    "book.yml": f"{BASE['book.yml']}workshop: Zebra Lane 4\n",  # type: ignore[str-bytes-safe]
    "sessions/a.yml": "date: 2024-11-08\nstep: fin/skeleton\nhours: 2h\nwho: ada & ben\n",
    "sessions/b.yml": "date: 2024-11-09\ntitle: Zebra\nstep: fin/close\nprivate: yes\nhours: 1h\n",
    "lots.yml": "- lot: glue\n  title: Glue\n  supplier: Zebra\n  private: supplier\n",
    "squawks.yml": "- squawk: 1\n  title: Zebra\n",
    "zebra.md": "---\nprivate: yes\n---\n# Zebra\n",
    "plain.md": "# Plain\n\nBen wrote this.\n",
    "tools.yml": "- tool: bens-drill\n  title: Drill\n- tool: ben\n  title: Bench\n",
    "notices.yml": "- notice: BEN-1\n  title: Look at it\n  issued: 2024-01-01\n",
    "assets/logo.txt": "x",
    "assets/private/zebra.txt": "zebra",
}


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, text in FILES.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    (tmp_path / "mkdocs.yml").write_text(SETTINGS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli, arguments)


def everything(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }


def test_no_address_of_a_page_names_anybody(book: Path) -> None:
    """A tool called after somebody has another short name where nobody is named."""
    assert run("publish", "--to", "public").exit_code == 0
    made = everything(book / "public")
    assert not [
        name for name, data in made.items() if "bens-drill" in name or b"bens-drill" in data
    ]


def test_what_would_become_public(book: Path) -> None:
    before = everything(book)
    result = run("publish", "--dry-run")
    assert result.exit_code == 0, result.output
    assert everything(book) == before, "nothing is made"
    assert "zebra" not in result.output.lower(), "counts, and not the words"
    lines = result.output.splitlines()
    assert lines[0] == "Public edition of The Fencroft book"
    assert "  people are shown by initials" in lines
    at = lines.index("left out")
    assert lines[at + 1 : at + 6] == [
        "  1 address",
        "  1 hand-written page",
        "  1 private field",
        "  1 session",
        "  1 squawk not closed",
    ]
    assert lines[at + 6 :] == [
        "to look at yourself",
        "  1 file in assets/, published as it is",
        "  1 page written by hand with names of people in the text or the file's name",
        "  1 number of parts or notices with the name of a person in",
    ]


def test_the_public_edition_in_a_folder(book: Path) -> None:
    result = run("publish")
    assert result.exit_code == 0, result.output
    assert "the public edition is in public; put what is in it on any web server" in result.output
    made = everything(book / "public")
    pages = sum(name.endswith(".html") and name != "404.html" for name in made)
    said = run("publish", "--dry-run").output.splitlines()[1]
    counted = [int(word) for word in said.split() if word.isdigit()]
    assert sum(counted) == pages
    for name, data in made.items():
        assert b"zebra" not in data.lower(), name
        assert "zebra" not in name.lower()


def test_the_old_one_stays_while_records_are_wrong(book: Path) -> None:
    assert run("publish").exit_code == 0
    before = everything(book / "public")
    wrong = book / "content" / "sessions" / "c.yml"
    wrong.write_text("date: 2024-12-01\nstep: fin/close\nprivat: yes\n", encoding="utf-8")
    for command in (
        ("publish",),
        ("publish", "--dry-run"),
        ("export", "--to", "out", "--edition", "public"),
        ("build", "--edition", "public"),
    ):
        result = run(*command)
        assert result.exit_code != 0
        assert "an error" in result.output
        assert not (book / "out").exists()
    assert everything(book / "public") == before
    assert sorted(p.name for p in book.iterdir() if p.name.startswith(".public")) == []


def test_a_folder_of_ones_own_is_left_alone(book: Path) -> None:
    (book / "public").mkdir()
    (book / "public" / "letter.txt").write_text("dear")
    result = run("publish")
    assert result.exit_code != 0
    assert "holds other things; name another folder" in result.output
    assert everything(book / "public") == {"letter.txt": b"dear"}


def test_exports(book: Path) -> None:
    for edition in ("full", "public"):
        result = run("export", "--to", edition, "--edition", edition)
        assert result.exit_code == 0, result.output
        held = b"".join(everything(book / edition).values())
        assert (b"Zebra" in held) == (edition == "full")
        said = json.loads((book / edition / "buildbook-export.json").read_text(encoding="utf-8"))
        assert said["edition"] == edition
    assert said["left out"] == ["open squawks", "some details", "some sessions"]
    result = run("export", "--to", "content/out")
    assert result.exit_code != 0
    assert not (book / "content" / "out").exists()


def test_build_says_no_to_what_it_does_not_know(book: Path) -> None:
    del book
    result = run("build", "--edition", "inspektor")
    assert "'inspektor' is not one of 'public', 'inspector', 'owner', 'full'" in result.output
