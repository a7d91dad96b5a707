"""`buildbook labels`, on small books and on the demo book."""

from pathlib import Path
from urllib.parse import unquote, urlsplit

import pypdfium2
import pytest
import zxingcpp
from click.testing import CliRunner, Result
from sites import BASE, BOOK, ROOT, SETTINGS, build_small

from buildbook.cli.main import cli
from buildbook.records.read import read

ADDRESS = "https://example.org/our-book/"
PARTS = """\
- part: FN-01
  name: Rear spar
- part: FN-02-L
  name: Nose rib
  hand: left
  quantity: 3
  pieces:
    - {piece: 01 to 02, side: port, position: 4 to 5}
    - {piece: "03", side: starboard, scrapped: 2031-03-01, why: Bent.}
    - {piece: "04", side: starboard, replaces: "03", bin: B4}
    - {piece: "x y/ø", spare: yes}
"""
FILES = {**BASE, "parts.yml": PARTS, "book.yml": f"{BOOK}address: {ADDRESS}\n"}
FOLDERS = SETTINGS.replace("use_directory_urls: false\n", "").replace("  - offline\n", "")


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    lay_out(tmp_path, FILES)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def lay_out(folder: Path, files: dict[str, str | bytes], settings: str = "") -> None:
    for name, text in files.items():
        path = folder / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    (folder / "mkdocs.yml").write_text(settings or SETTINGS, encoding="utf-8")


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["labels", *words], catch_exceptions=False)


def said(file: str = "labels.pdf") -> str:
    document = pypdfium2.PdfDocument(Path(file).read_bytes())
    text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return " ".join(text.split())


@pytest.mark.usefixtures("book")
def test_all_pieces_but_the_scrapped_one() -> None:
    result = run()
    assert result.exit_code == 0
    assert "labels.pdf: 5 labels on 1 sheet" in result.output
    assert "1 scrapped piece left out" in result.output
    text = said()
    for words in ("FN-01-01", "FN-02-L-01", "left-hand part", "position 4", "PORT", "bin B4"):
        assert words in text
    assert "FN-02-L-x y/ø" in text
    assert "replaces 03" in text
    assert "SPARE" in text
    assert "FN-02-L-03" not in text


@pytest.mark.usefixtures("book")
@pytest.mark.parametrize(
    ("words", "labels"),
    [
        (["FN-01"], ["FN-01-01"]),
        (["fn-01"], ["FN-01-01"]),
        (["FN-02-L-03"], ["FN-02-L-03"]),
        (["FN-02-L-01", "FN-01", "FN-01"], ["FN-02-L-01", "FN-01-01"]),
        (["--step", "fin/close"], ["FN-01-01"]),
        (["--section", "fin", "FN-02-L-02"], ["FN-02-L-02", "FN-01-01", "FN-02-L-01"]),
    ],
)
def test_choosing(words: list[str], labels: list[str]) -> None:
    assert run(*words).exit_code == 0
    text = said()
    at = [text.index(label) for label in labels]
    assert at == sorted(at)
    if "--section" not in words:
        assert text.count("FN-0") == len(labels) + text.count("replaces")


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (["FN-03"], "no part or piece `FN-03`; did you mean `FN-01`?"),
        (["--step", "fin/skeletn"], "no step `fin/skeletn`; did you mean `fin/skeleton`?"),
        (["--section", "rudder"], "no section `rudder`; known sections: fin"),
        (["--start", "25"], "a sheet of plain has labels 1 to 24"),
        (["--start", "0"], "a sheet of plain has labels 1 to 24"),
        (["--output", "nowhere/labels.pdf"], "cannot write into nowhere"),
        (["--output", "content"], "content is there already"),
        (["--output", "content", "--force"], "content is a folder"),
        (["--content", "elsewhere"], "there is no folder elsewhere"),
        (["--stock", "a4"], "'a4' is not one of"),
    ],
)
def test_what_cannot_be_done_is_said(book: Path, words: list[str], answer: str) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert answer in result.output
    assert not list(book.glob("*.pdf"))
    assert not list(book.glob(".*.part"))


def test_a_step_without_pieces(book: Path) -> None:
    (book / "content" / "sections" / "fin.yml").write_text(
        "section: fin\ntitle: Fin\nsteps:\n  - step: jig\n    title: Jig\n    without parts: yes\n"
    )
    result = run("--step", "fin/jig")
    assert result.exit_code == 2
    assert "there is no piece to label" in result.output


def test_a_file_that_is_there_is_left_alone_without_force(book: Path) -> None:
    (book / "labels.pdf").write_text("mine")
    result = run()
    assert result.exit_code == 2
    assert "add --force" in result.output
    assert (book / "labels.pdf").read_text() == "mine"
    assert run("--force").exit_code == 0
    assert (book / "labels.pdf").read_bytes().startswith(b"%PDF")
    assert {p.name for p in book.iterdir()} == {"content", "mkdocs.yml", "labels.pdf"}


def test_without_an_address_there_are_no_codes(book: Path) -> None:
    (book / "content" / "book.yml").write_text(BOOK)
    result = run()
    assert "no QR codes" in result.output
    document = pypdfium2.PdfDocument((book / "labels.pdf").read_bytes())
    picture = document[0].render(scale=4, grayscale=True).to_numpy()
    document.close()
    assert not zxingcpp.read_barcodes(picture)


def test_the_address_of_the_site_settings_serves_as_well(book: Path) -> None:
    (book / "content" / "book.yml").write_text(BOOK)
    (book / "mkdocs.yml").write_text(f"{SETTINGS}site_url: https://books.example.org/fen/\n")
    assert "https://books.example.org/fen/parts/" in run().output


def test_settings_that_cannot_be_read(book: Path) -> None:
    (book / "mkdocs.yml").write_text("site_name: [")
    result = run()
    assert result.exit_code == 2
    assert "mkdocs.yml cannot be read" in result.output


def test_codes_too_small_for_a_phone_are_told(book: Path) -> None:
    long = f"https://example.org/{'a-long-way/' * 20}"
    (book / "content" / "book.yml").write_text(f"{BOOK}address: {long}\n")
    assert "use larger labels or a shorter address" in run("--stock", "a4-5x13").output
    assert "use larger labels" not in run("--stock", "letter-2x5", "--force").output


@pytest.mark.parametrize(
    ("settings", "ending"),
    [
        (SETTINGS, ".html"),
        (FOLDERS, "/"),
        (SETTINGS.replace("use_directory_urls: false\n", ""), ".html"),
        (FOLDERS.replace("- buildbook", "- buildbook\n  - offline:\n      enabled: false"), "/"),
    ],
    ids=["files", "folders", "offline plugin", "offline plugin switched off"],
)
def test_codes_lead_to_places_that_the_built_site_has(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: str, ending: str
) -> None:
    site = build_small(tmp_path, FILES, settings=settings)
    monkeypatch.chdir(tmp_path)
    from buildbook.cli import labels as command  # noqa: PLC0415 - only here
    from buildbook.handover.labels import choose, labels_of  # noqa: PLC0415

    book = read(tmp_path / "content").book
    found = command._site(book, tmp_path / "mkdocs.yml")
    assert found is not None
    for label in labels_of(book, choose(book)[0], found):
        parts = urlsplit(label.address)
        assert parts.path.endswith(ending)
        inside = unquote(parts.path).removeprefix("/our-book/")
        page = site.folder / (f"{inside}index.html" if inside.endswith("/") else inside)
        assert f'id="{unquote(parts.fragment)}"' in page.read_text(encoding="utf-8")


def test_every_piece_of_the_demo_book(tmp_path: Path) -> None:
    file = str(tmp_path / "demo.pdf")
    content = str(ROOT / "content")
    result = run("--content", content, "--output", file, "--stock", "a4-5x13")
    assert result.exit_code == 0
    text = said(file)
    book = read(ROOT / "content").book
    for piece in book.piece_by_label.values():
        assert (piece.label in text) != bool(piece.scrapped)


def test_stocks_are_listed_by_their_dimensions() -> None:
    result = run("--stocks")
    assert result.exit_code == 0
    assert "a4-3x7        A4, 3 x 7 labels of 63.5 x 38.1 mm" in result.output
    assert "letter-3x10   Letter, 3 x 10 labels of 2.625 x 1 in" in result.output
