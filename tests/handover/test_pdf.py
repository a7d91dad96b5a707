"""The printed book: looked at by qpdf and poppler (Debian), and by pypdfium2."""

import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from buildbook.handover import findings, press, volumes
from buildbook.handover.chapters import chapters
from buildbook.handover.editions import edition
from buildbook.handover.entries import Entry
from buildbook.handover.package import prepared
from buildbook.handover.pdf import Volume, set_book
from buildbook.handover.volumes import split
from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.records.read import read
from buildbook.records.readers import EDITIONS

BASE = Path(__file__).parents[1] / "records" / "base"

MARKED_UP = """\
date: 2025-03-20
title: "Everything prose can be: #panic(\\"no\\") $x$ *y*"
step: fin/skeleton
hours: 45 min
notes: |
  First *emphasis*, then **weight**, then `code`, and [a link](https://example.org/manual).

  - one
  - two with FN-01

  1. first
  2. second

  > Quoted.

  | a | b |
  | --- | --- |
  | 1 | 2 |

      kept  as   it is

  Not markup here: #set text(red) @label <tag> \\\\ // comment
photos:
  - file: 2025/before.jpg
    caption: The spar before
  - file: 2025/after.jpg
    caption: The spar after
    before: 2025/before.jpg
    who: ada
    markers:
      - {at: "0.4, 0.6", caption: The hole that was moved, part: FN-01}
      - {box: "0.1, 0.1, 0.3, 0.2", caption: The bent edge}
    blur: 0.7, 0.7, 0.2, 0.2
  - file: 2025/portrait.jpg
    caption: A tall one
    who: [ada, ben]
"""


def write(folder: Path, **more: str) -> Path:
    """Write a book of every kind of record, with pictures large enough to be looked at."""
    content = folder / "content"
    shutil.copytree(BASE, content)
    (content / "sessions" / "2025" / "marked-up.yml").write_text(MARKED_UP, encoding="utf-8")
    for name, text in more.items():
        (content / "sessions" / "2025" / f"{name}.yml").write_text(text, encoding="utf-8")
    for n, (name, size) in enumerate(
        {"before": (1200, 900), "after": (1200, 900), "portrait": (600, 1000)}.items()
    ):
        image = Image.linear_gradient("L").resize(size).convert("RGB")
        image.putpixel((n, n), (200, 20, 20))
        image.save(content / "photos" / "2025" / f"{name}.jpg", quality=90)
    return content


def context_of(content: Path, name: str) -> Context:
    book = edition(read(content).book, name)
    return Context(book, derive(book))


def made(content: Path, name: str, to: Path, paper: str = "a4") -> list[Volume]:
    context = context_of(content, name)
    pictures, _ = prepared(context.book, content.parent / "cache")
    to.mkdir(parents=True)
    return set_book(context, pictures, content.parent / "cache" / "pictures", to, paper=paper)


@pytest.fixture(scope="module")
def content(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(tmp_path_factory.mktemp("printed"))


@pytest.fixture(scope="module")
def inspector(content: Path) -> Path:
    (volume,) = made(content, "inspector", content.parent / "inspector")
    return volume.file


def said(*command: object) -> str:
    done = subprocess.run(list(map(str, command)), capture_output=True, text=True, check=True)
    return done.stdout


def pages(file: Path) -> list[str]:
    """The words of every page, as poppler reads them, on one line each."""
    return [" ".join(page.split()) for page in said("pdftotext", file, "-").split("\f")[:-1]]


@pytest.mark.parametrize("name", EDITIONS)
def test_other_programs_can_read_it(name: str, content: Path, tmp_path: Path) -> None:
    (volume,) = made(content, name, tmp_path / "out")
    assert "No syntax or stream encoding errors found" in said("qpdf", "--check", volume.file)
    assert f"Pages: {volume.pages}" in " ".join(said("pdfinfo", volume.file).split())
    assert volume.without_glyph == 0


def test_it_is_made_to_last(inspector: Path) -> None:
    """What ISO 19005-2 (PDF/A-2) asks for, as far as it can be seen from outside.

    6.2.11.4.1: fonts are embedded. 6.6.4: the file says which part and level it follows. 6.2.3:
    an output intent. 6.7: structure, and its language. 6.1.3: nothing is encrypted. No validator
    is in the registries this project uses, so conformance as a whole is not checked.
    """
    for font in said("pdffonts", inspector).splitlines()[2:]:
        assert re.search(r"\byes yes yes\b", font), font
    info = said("pdfinfo", inspector)
    for line in ("Tagged: yes", "Encrypted: no", "JavaScript: no", "Form: none"):
        assert re.search(line.replace(" ", r"\s+"), info), line
    meta = said("pdfinfo", "-meta", inspector)
    assert re.search(r"pdfaid:part>2<", meta)
    assert re.search(r"pdfaid:conformance>A<", meta)
    raw = subprocess.run(["qpdf", "--qdf", inspector, "-"], capture_output=True, check=True).stdout
    assert b"/OutputIntent" in raw
    assert b"/Lang (en)" in raw
    # Level A: every picture has words in its place.
    figures = raw.count(b"/S /Figure")
    assert figures >= 5
    assert raw.count(b"/Alt ") >= figures


def test_title_and_date(inspector: Path) -> None:
    info = said("pdfinfo", "-isodates", inspector)
    assert re.search(r"Title:\s+The Fencroft book, Inspector's edition\n", info)
    assert re.search(r"CreationDate:\s+2025-10-04T00:00:00Z\n", info)


def test_the_same_records_make_the_same_bytes(
    content: Path, inspector: Path, tmp_path: Path
) -> None:
    (again,) = made(content, "inspector", tmp_path / "again")
    assert again.file.read_bytes() == inspector.read_bytes()


@pytest.mark.parametrize(("paper", "points"), [("a4", (595.276, 841.89)), ("letter", (612, 792))])
def test_paper(paper: str, points: tuple[float, float], content: Path, tmp_path: Path) -> None:
    """ISO 216: A4 is 210 by 297 mm. ANSI/ASME Y14.1: Letter is 8.5 by 11 in."""
    (volume,) = made(content, "owner", tmp_path / paper, paper)
    found = said("pdfinfo", "-f", 1, "-l", volume.pages, volume.file)
    sizes = re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+)", found)
    assert len(sizes) == volume.pages
    for width, height in sizes:
        assert (float(width), float(height)) == pytest.approx(points, abs=0.01)


def test_running_heads_and_page_numbers(inspector: Path) -> None:
    words = pages(inspector)
    assert "Inspector's edition" in words[0]
    assert "approves nothing" in words[0]
    for number, page in enumerate(words[1:], 2):
        assert f"page {number} of {len(words)}" in page
        assert page.startswith("The Fencroft book, Inspector's edition ")
        assert "it approves nothing. Records up to 4 October 2025." in page


def outline(file: Path) -> Iterator[tuple[int, str, int]]:
    with pypdfium2.PdfDocument(file) as found:
        for mark in found.get_toc():
            dest = mark.get_dest()
            yield mark.level, mark.get_title(), dest.get_index() + 1


def test_bookmarks_lead_to_what_they_name(content: Path, inspector: Path) -> None:
    words = pages(inspector)
    marks = list(outline(inspector))
    titles = [chapter.title for chapter in chapters(context_of(content, "inspector"))]
    assert [title for level, title, _ in marks if level == 0] == [*titles, "Index of parts"]
    assert len(marks) > 40
    for _, title, page in marks:
        assert " ".join(title.split()) in words[page - 1], (title, page)


def test_the_contents_name_the_right_pages(inspector: Path) -> None:
    text = said("pdftotext", "-f", 2, "-l", 2, "-raw", inspector, "-")
    words = pages(inspector)
    lines = re.findall(r"^(.+?)[ .]*[. ](\d+)$", text, re.MULTILINE)
    named = [(title.strip(" ."), int(number)) for title, number in lines]
    found = [(title, number) for title, number in named if len(title) > 3 and number <= len(words)]
    assert len(found) > 20
    for title, number in found:
        if not title.endswith("page 2 of"):
            assert title in words[number - 1], (title, number)


def test_the_index_names_the_right_pages(content: Path, inspector: Path) -> None:
    """A part of the book is on every page that the index gives for it."""
    words = pages(inspector)
    start = next(n for n, page in enumerate(words) if "Index of parts" in page and n > 2)
    text = " ".join(words[start:])
    found = re.findall(r"(FN-[\w-]+|RD-\d+) (?:(?! p\. ).)*? p\. (\d+(?:, \d+)*)", text)
    assert {number for number, _ in found} >= {"FN-01", "FN-02-L"}
    book = context_of(content, "inspector").book
    for number, listed in found:
        assert number in book.parts
        for page in re.findall(r"\d+", listed):
            # The place is where the step or session begins, so the part may come a page later.
            assert number in words[int(page) - 1] + words[int(page)], (number, page)


def test_links_lead_to_places_inside(inspector: Path) -> None:
    raw = subprocess.run(["qpdf", "--qdf", inspector, "-"], capture_output=True, check=True).stdout
    assert raw.count(b"/Subtype /Link") > 80
    there = set(re.findall(rb"%% Page \d+\n(?:%% .*\n)?(\d+) 0 obj", raw))
    assert there
    targets = re.findall(rb"\[\s*(\d+) 0 R\s*/XYZ", raw)
    assert len(targets) > 80
    assert set(targets) <= there


def test_prose_is_set_and_never_obeyed(inspector: Path) -> None:
    text = " ".join(pages(inspector))
    for words in (
        'Everything prose can be: #panic("no") $x$ *y*',
        "First emphasis, then weight, then code, and a link (https://example.org/manual).",
        "Not markup here: #set text(red) @label \\ // comment",
        "two with FN-01",
        "Quoted.",
    ):
        assert words in text, words
    assert "kept as it is" in text
    assert re.search(r"kept +as  +it +is", said("pdftotext", "-layout", inspector, "-"))


def test_photos_with_their_markers(inspector: Path) -> None:
    text = " ".join(pages(inspector))
    for words in (
        "Before The spar before",
        "After The spar after At work: Ada Fenn.",
        "1 The hole that was moved FN-01",
        "2 The bent edge",
        "Pictures by who is at work",
    ):
        assert words in text, words
    pictures = said("pdfimages", "-list", inspector).splitlines()[2:]
    widths = {int(line.split()[3]) for line in pictures}
    assert max(widths) <= 800
    # One that is shown twice is stored once.
    ids = {line.split()[10] for line in pictures}
    assert len(ids) < len(pictures)


def test_nothing_is_said_by_colour(inspector: Path, tmp_path: Path) -> None:
    """Every page without a photo is grey: it reads the same on a black and white printer."""
    with_photos = {
        int(line.split()[0]) for line in said("pdfimages", "-list", inspector).splitlines()[2:]
    }
    said("pdftoppm", "-r", 40, "-png", inspector, tmp_path / "p")
    grey = 0
    for file in tmp_path.glob("p-*.png"):
        if int(file.stem.partition("-")[2]) not in with_photos:
            with Image.open(file) as page:
                red, green, blue = page.convert("RGB").split()
                assert red.tobytes() == green.tobytes() == blue.tobytes(), file.name
            grey += 1
    assert grey > 10


def test_the_inspectors_is_in_order_of_time_and_opens_with_the_calendar(content: Path) -> None:
    found = [chapter.title for chapter in chapters(context_of(content, "inspector"))]
    assert found[0] == "Working days"
    assert found.index("Sessions") < found.index("Sections and steps")
    owner = [chapter.title for chapter in chapters(context_of(content, "owner"))]
    assert owner[0] == "As built"
    assert sorted(set(found) - {"Pictures by who is at work"}) == sorted(set(owner))


def test_the_calendar_has_the_days(inspector: Path) -> None:
    words = pages(inspector)
    (page,) = [p for p in words if "Working days" in p and "January" in p]
    assert "2025 5 working days" in page


def test_letters_without_a_font(tmp_path: Path) -> None:
    """PDF/A wants a glyph for everything; a letter that has none is shown as such, and told."""
    content = write(
        tmp_path, odd="date: 2025-03-21\ntitle: A bell \U0001fae8\nstep: fin/skeleton\n"
    )
    (volume,) = made(content, "inspector", tmp_path / "out")
    assert volume.without_glyph > 0
    assert any("A bell \N{REPLACEMENT CHARACTER}" in page for page in pages(volume.file))


def test_a_picture_that_cannot_be_read(tmp_path: Path) -> None:
    content = write(tmp_path)
    (content / "photos" / "2025" / "portrait.jpg").write_bytes(b"\xff\xd8\xff not a picture")
    (volume,) = made(content, "inspector", tmp_path / "out")
    text = " ".join(pages(volume.file))
    assert "The picture could not be read." in text
    assert "A tall one At work: Ada Fenn, Ben Fenn." in text


def test_a_book_without_sessions(tmp_path: Path) -> None:
    content = tmp_path / "content"
    content.mkdir()
    (content / "book.yml").write_text(
        "title: A new book\naircraft:\n  model: F-1\nbuilder: ada\ntime zone: Europe/Copenhagen\n"
    )
    (content / "people.yml").write_text("- person: ada\n  name: Ada Fen\n  role: builder\n")
    for name in EDITIONS:
        (volume,) = made(content, name, tmp_path / name)
        assert re.search(r"Last session +none yet", said("pdftotext", "-layout", volume.file, "-"))


# Volumes.


def test_volumes_hold_everything_once_and_none_too_much(content: Path) -> None:
    whole = chapters(context_of(content, "full"))
    all_of_it = [entry for chapter in whole for entry in chapter.entries]
    for most in (62.5, 65.0, 70.0, 90.0, 1000.0):
        found = split(whole, most)
        kept = [entry for volume in found for piece in volume for entry in piece.entries]
        assert kept == all_of_it
        for volume in found:
            entries = [entry for piece in volume for entry in piece.entries]
            photos = {photo for entry in entries for photo in entry.photos}
            weight = 60 + 1.5 * len(photos)
            weight += sum(2.2 * entry.pages + 0.015 * entry.cells for entry in entries)
            assert weight <= most + 1e-6 or len(entries) == 1
    assert len(split(whole, 1000.0)) == 1


def test_volumes_are_of_about_one_size(content: Path) -> None:
    chapter = chapters(context_of(content, "full"))[0]
    entries = tuple(Entry("session", dict, pages=1.0) for _ in range(1000))
    found = split([replace(chapter, entries=entries)], 160.0)
    sizes = [sum(len(piece.entries) for piece in volume) for volume in found]
    assert len(found) == 23  # 1,000 pages of 2.2 MB, 45 of them in 100 MB
    assert max(sizes) - min(sizes) <= 2


def test_several_volumes(content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(volumes.split, "__defaults__", (85.0,))
    found = made(content, "inspector", tmp_path / "out")
    count = len(found)
    assert count > 1
    for number, volume in enumerate(found, 1):
        assert volume.file.name == f"the-fencroft-book-inspector-volume-{number}-of-{count}.pdf"
        said("qpdf", "--check", volume.file)
        words = pages(volume.file)
        assert f"Volume {number} of {count}" in words[0]
        assert f"{number} (this one)" in words[1]
        assert f"page {len(words)} of {len(words)}" in words[-1]
    assert any("Index of parts of this volume" in page for v in found for page in pages(v.file))
    # What stands in another volume is named with it.
    first = " ".join(pages(found[0].file))
    assert re.search(r"vol\. [2-9]", first)


def test_much_of_one_kind_is_divided(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every reading is there once, in order, however few stand in one entry."""
    reading = (
        "readings:\n  - {reading: edge distance, part: FN-02-L, values: 0.2%d in, min: 0.25 in}\n"
    )
    more = {
        f"more-{n}": f"date: 2025-04-0{n}\nstep: fin/skeleton\nhours: 1h\n{reading % n}"
        for n in (5, 6, 7)
    }
    context = context_of(write(tmp_path, **more), "full")
    whole = [e.make() for e in findings.readings(context)]
    monkeypatch.setattr(findings, "MOST_ROWS", 2)
    parts = [e.make() for e in findings.readings(context)]
    assert len(parts) > len(whole)

    def rows(several):
        return [row for entry in several for run in entry["runs"] for row in run["rows"]]

    assert rows(parts) == rows(whole)
    assert sum(entry["first"] for entry in parts) == len(whole)


def test_page_numbers_settle(
    content: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """However wrong the first guess is, what is printed is right."""
    runs = []
    real = press._run

    def counted(job):
        runs.append(job["to"])
        if not job["to"]:
            job["data"]["places"] = dict.fromkeys(job["data"]["places"], (1, 0.0))
        return real(job)

    monkeypatch.setattr(press, "_run", counted)
    (volume,) = made(content, "inspector", tmp_path / "out")
    assert 2 <= len(runs) <= 4
    test_the_contents_name_the_right_pages(volume.file)
    test_the_index_names_the_right_pages(content, volume.file)
