"""Any editor: the YAML language server itself, on what `init` and `write` make."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from language_server import NODE, SERVER, Editor, editor

from buildbook.cli.main import cli
from buildbook.records.names import slugify

pytestmark = pytest.mark.skipif(
    not NODE or not SERVER.is_file(), reason="no yaml-language-server: python tests/fetch_tools.py"
)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("editors") / "my book"
    assert CliRunner().invoke(cli, ["init", str(folder)]).exit_code == 0
    content = str(folder / "content")
    line = "fin/skeleton drill 2h30 P-001 01 to 02: no gloves, #40"
    words = ["write", "--quick", line, "--date", "2025-03-08", "--save", "--content", content]
    result = CliRunner().invoke(cli, words)
    assert result.exit_code == 0, result.output
    return folder


@pytest.fixture(scope="module")
def server(book: Path) -> Iterator[Editor]:
    with editor(book) as started:
        yield started


def files(book: Path) -> list[Path]:
    return sorted(p for p in book.glob("content/**/*.yml"))


def test_nothing_is_wrong_in_what_init_and_write_make(book: Path, server: Editor) -> None:
    names = [p.relative_to(book / "content").as_posix() for p in files(book)]
    assert "sessions/2025-03-08.yml" in names
    assert len(names) > 12
    for path in files(book):
        assert server.open(path) == [], path
        server.close(path)


SESSION = "# yaml-language-server: $schema=../../.buildbook/schema/sessions.json\n"


@pytest.fixture
def path(book: Path, request: pytest.FixtureRequest) -> Path:
    """A file of its own for each test: closing one is answered too."""
    return book / "content" / "sessions" / f"{slugify(request.node.name)}.yml"


def said(server: Editor, path: Path, text: str) -> list[tuple[int, str]]:
    return [(d["range"]["start"]["line"], d["message"]) for d in server.open(path, SESSION + text)]


def test_a_wrong_field_is_marked(server: Editor, path: Path) -> None:
    found = said(server, path, "date: 2025-03-08\nstep: fin/skeleton\nhuors: 2h30\n")
    assert [(line, "huors" in message) for line, message in found] == [(3, True)]


@pytest.mark.parametrize(
    "field",
    ["date: 8.3.2025", "finished: maybe", "hours: some", "air: {temperature: 17 °C}", "air: damp"],
)
def test_a_wrong_value_is_marked(server: Editor, path: Path, field: str) -> None:
    others = {"date": "date: 2025-03-08", "step": "step: fin/skeleton"}
    others[field.partition(":")[0]] = field
    lines = list(others.values())
    found = said(server, path, "\n".join(lines) + "\n")
    assert found
    assert {line for line, _ in found} == {lines.index(field) + 1}


def test_short_forms_are_taken(server: Editor, path: Path) -> None:
    text = (
        "date: 2025-03-08\nstep: fin/skeleton\nhours: 2.5\nwho: me & sam\nair: 17C, 55 %\n"
        "pieces: {P-001: all}\nfinished: yes\n"
        "amendments:\n  - {date: 2025-03-09, field: hours, was: 2h}\n"
    )
    assert said(server, path, text) == []


def labels(items: list[dict]) -> dict[str, str]:
    return {
        item["label"]: str((item.get("documentation") or {}).get("value", ""))
        if isinstance(item.get("documentation"), dict)
        else str(item.get("documentation") or "")
        for item in items
    }


def test_fields_of_a_session_are_offered_with_what_they_mean(server: Editor, path: Path) -> None:
    server.open(path, f"{SESSION}date: 2025-03-08\nstep: fin/skeleton\n\n")
    found = labels(server.complete(path, 3, 0))
    assert {"hours", "notes", "photos", "work", "break", "amendments"} <= found.keys()
    assert not {"date", "step"} & found.keys()
    assert "How long, by the clock." in found["hours"]


def test_fields_inside_others_are_offered_too(server: Editor, path: Path) -> None:
    server.open(path, f"{SESSION}date: 2025-03-08\nphotos:\n  - file: a.jpg\n    \n")
    found = labels(server.complete(path, 4, 4))
    assert {"caption", "markers"} <= found.keys()
    assert "hours" not in found


def test_choices_are_offered(server: Editor, path: Path) -> None:
    server.open(path, f"{SESSION}date: 2025-03-08\nstep: fin/skeleton\nfinished: \n")
    assert {"yes", "no"} <= {label.strip('"') for label in labels(server.complete(path, 3, 10))}


def test_what_a_field_means_is_shown(server: Editor, path: Path) -> None:
    server.open(path, f"{SESSION}date: 2025-03-08\nstep: fin/skeleton\nhours: 2h\n")
    assert "How long, by the clock." in server.hover(path, 3, 2)


def test_without_the_first_line_nothing_is_marked(server: Editor, path: Path) -> None:
    """So it is that line that helps, and no other setting."""
    assert server.open(path, "date: 2025-03-08\nhuors: 2h30\n") == []
