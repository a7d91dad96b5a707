"""Commands find the book from beside the folder of records and from inside it."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from buildbook.cli.main import cli

RECORDS = {
    "book.yml": "title: B\naircraft: {model: A}\nbuilder: ada\ntime zone: UTC\n",
    "people.yml": "- {person: ada, name: Ada}\n",
}


@pytest.mark.parametrize(
    ("where", "words"), [(".", ()), ("content", ()), ("..", ("--content", "b"))]
)
def test_a_book_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str, words: tuple[str, ...]
) -> None:
    (tmp_path / "b" / "content").mkdir(parents=True)
    for name, text in RECORDS.items():
        (tmp_path / "b" / "content" / name).write_text(text)
    monkeypatch.chdir(tmp_path / "b" / where)
    result = CliRunner().invoke(cli, ["photos", "privacy", *words])
    assert result.output.startswith("0 of 0 originals")


def test_no_book_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(cli, ["photos", "privacy"])
    assert result.exit_code == 2
    assert result.output == "Error: there is no folder content\n"
