"""`buildbook init`: a book to start from, good from the first moment."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildbook.cli.check import check
from buildbook.cli.init import init, starter_files
from buildbook.records.kinds import KINDS, kind_of
from buildbook.records.read import read


@pytest.fixture
def book(tmp_path: Path) -> Path:
    folder = tmp_path / "my book"
    result = CliRunner().invoke(init, [str(folder)])
    assert result.exit_code == 0, result.output
    assert "buildbook check" in result.output
    return folder


def test_the_book_passes(book: Path) -> None:
    result = CliRunner().invoke(check, [str(book / "content"), "--strict"])
    assert (result.exit_code, result.output) == (
        0,
        "no problems\n1 session, 2 steps, 1 part read\n",
    )


def test_there_is_a_file_of_every_kind(book: Path) -> None:
    names = (p.relative_to(book / "content").as_posix() for p in book.glob("content/**/*.yml"))
    kinds = {kind.name for name in names if (kind := kind_of(name))}
    assert kinds == set(KINDS)


def test_what_is_commented_out_is_good_too(book: Path) -> None:
    lists = ("lots", "squawks", "signoffs", "weighings", "notices", "costs", "tasks", "equipment")
    for name in (*lists, "recurring", "balance"):
        path = book / "content" / f"{name}.yml"
        lines = path.read_text(encoding="utf-8").split("\n")
        begins = lines.index(next(ln for ln in lines if ln.startswith(("# - ", "# datum:"))))
        path.write_text("\n".join(ln.removeprefix("# ") for ln in lines[begins:]))
    reading = read(book / "content")
    # The step of the starter asks for no inspection yet.
    assert {p.code for p in reading.problems} == {"unknown-inspection"}
    assert reading.book.lots
    assert reading.book.signoffs
    assert reading.book.weighings
    assert reading.book.squawks
    assert reading.book.notices
    assert reading.book.costs
    assert reading.book.tasks
    assert reading.book.equipment
    assert reading.book.recurring
    assert reading.book.balance


def test_every_file_names_its_schema(book: Path) -> None:
    for path in book.glob("content/**/*.yml"):
        text = path.read_text(encoding="utf-8")
        _, _, name = text.split("\n")[0].partition("# yaml-language-server: $schema=")
        schema = json.loads((path.parent / name).read_text(encoding="utf-8"))
        kind = kind_of(path.relative_to(book / "content").as_posix())
        assert kind is not None
        assert schema["title"] == f"buildbook: {kind.name}"


def test_nothing_is_overwritten(book: Path) -> None:
    mine = book / "content" / "people.yml"
    mine.write_text("- person: me\n  name: Really me\n")
    (book / "mkdocs.yml").unlink()
    result = CliRunner().invoke(init, [str(book)])
    assert result.exit_code == 2
    assert str(mine) in result.output
    assert "mkdocs.yml" not in result.output
    assert "Really me" in mine.read_text()
    assert not (book / "mkdocs.yml").exists()


def test_a_file_in_place_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    assert CliRunner().invoke(init, [str(tmp_path / "file")]).exit_code == 2


def test_the_site_settings_are_good(book: Path) -> None:
    program = "from mkdocs.config import load_config; print(*load_config('mkdocs.yml').plugins)"
    command = [sys.executable, "-W", "error::UserWarning", "-c", program]
    result = subprocess.run(command, cwd=book, capture_output=True, text=True, check=False)
    assert "buildbook" in result.stdout, result.stderr
    assert "WARNING" not in result.stderr


def test_the_starter_is_in_plain_ascii_but_for_units() -> None:
    for name, text in starter_files():
        odd = {c for c in text if ord(c) > 127} - set("°·")
        assert not odd, name
