"""Contact sheets: the PDF and the printed page, read back by PDFium."""

from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from click.testing import CliRunner, Result
from PIL import Image, ImageDraw
from sites import BASE, SmallSite

from buildbook.cli.main import cli

MM = 72 / 25.4
A4, LETTER = (210.0, 297.0), (215.9, 279.4)
COUNT = 46


def picture(number: int, size: tuple[int, int]) -> bytes:
    image = Image.new("RGB", size, (90 + number * 3, 140, 200 - number * 2))
    draw = ImageDraw.Draw(image)
    draw.rectangle((10, 10, size[0] - 10, size[1] - 10), outline="white", width=6)
    draw.text((30, 30), str(number), fill="white", font_size=90)
    out = BytesIO()
    image.save(out, "JPEG")
    return out.getvalue()


def book() -> dict[str, str | bytes]:
    """A step with many photos: nine evenings of much the same work, upright and lying."""
    files: dict[str, str | bytes] = dict(BASE)
    for evening in range(9):
        day = f"2025-03-{evening + 1:02}"
        entries = []
        for n in range(evening * 5, min(COUNT, evening * 5 + 5) if evening < 8 else COUNT):
            files[f"photos/{n:02}.jpg"] = picture(n, (600, 450) if n % 4 else (450, 600))
            long = " flange trued on the block and looked at against the light" * (n % 3)
            entries.append(f"  - {{file: {n:02}.jpg, caption: Rib {n:02}{long}}}\n")
        head = f"date: {day}\nstep: fin/skeleton\nhours: 1\nphotos:\n"
        files[f"sessions/{day}.yml"] = head + "".join(entries)
    files["sessions/2025-03-01.yml"] = str(files["sessions/2025-03-01.yml"]).replace(
        "{file: 00.jpg, caption: Rib 00}",
        "{file: 00.jpg, caption: Rib 00, blur: '0.5, 0.5, 0.4, 0.4', markers: ["
        "{at: '0.2, 0.3', caption: Bent flange}, {box: '0.1, 0.1, 0.3, 0.2', caption: Its label}]}",
    )
    return files


@pytest.fixture
def content(tmp_path: Path) -> Path:
    for name, data in book().items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return tmp_path / "content"


def run(*words: object) -> Result:
    return CliRunner().invoke(cli, [str(w) for w in words], standalone_mode=False)


def pages(pdf: bytes) -> list[tuple[tuple[float, float], str, list[tuple[float, ...]]]]:
    """Give size, text and where pictures are of each page, in millimetres."""
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for page in document:
        text = " ".join(page.get_textpage().get_text_bounded().replace("\2", "-").split())
        images = [
            tuple(n / MM for n in one.get_bounds())
            for one in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_IMAGE])
        ]
        found.append((tuple(n / MM for n in page.get_size()), text, images))
    document.close()
    return found  # type: ignore[return-value]


@pytest.mark.parametrize(("paper", "size"), [("a4", A4), ("letter", LETTER)])
def test_the_pdf_has_every_photo_whole_and_in_order(
    content: Path, tmp_path: Path, paper: str, size: tuple[float, float]
) -> None:
    target = tmp_path / "sheet.pdf"
    words = ("photos", "contact-sheet", "fin/skeleton", "--to", target, "--content", content)
    result = run(*words, "--paper", paper)
    assert result.return_value == 0, result.output
    assert f"{COUNT} photos of fin/skeleton" in result.output
    found = pages(target.read_bytes())
    assert len(found) == 3, "four across and five or more down"
    assert sum(len(images) for _, _, images in found) == COUNT
    for shown, text, images in found:
        assert shown == pytest.approx(size, abs=0.3)
        assert "Fin: skeleton" in text
        for left, bottom, right, top in images:
            assert 9 < left < right < size[0] - 9
            assert 13 < bottom < top < size[1] - 16, "between header and footer"
            assert max(right - left, (top - bottom) * 4 / 3) == pytest.approx(44, abs=0.5)
    said = " ".join(text for _, text, _ in found)
    order = [said.index(f"Rib {n:02}") for n in range(COUNT)]
    assert order == sorted(order)
    assert said.count("March 2025") == COUNT
    assert "1 Bent flange" in said
    assert "3 of 3" in said
    again = tmp_path / "again.pdf"
    run(*words[:3], "--to", again, "--content", content, "--paper", paper)
    assert again.read_bytes() == target.read_bytes()


def test_what_is_to_be_blurred_is_blurred_in_the_pdf(content: Path, tmp_path: Path) -> None:
    target = tmp_path / "sheet.pdf"
    run("photos", "contact-sheet", "fin/skeleton", "--to", target, "--content", content)
    document = pypdfium2.PdfDocument(target)
    first = next(iter(document[0].get_objects(filter=[pdfium.FPDF_PAGEOBJ_IMAGE])))
    shown = first.get_bitmap().to_pil().convert("L")
    document.close()
    width, height = shown.size
    hidden = shown.crop(
        (round(width * 0.88), round(height * 0.55), width * 9 // 10, height * 8 // 10)
    )
    edge = shown.crop((width * 9 // 10 + 2, round(height * 0.55), width - 1, height * 8 // 10))
    spans = [high - low for low, high in (hidden.getextrema(), edge.getextrema())]  # type: ignore[operator, misc]
    assert spans[0] < 60 < spans[1], "the frame drawn around the picture is seen outside the box"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("fin/skeletn",), "did you mean `fin/skeleton`"),
        (("fin/close",), "no photo shows fin/close"),
    ],
)
def test_what_cannot_be_made_is_said(
    content: Path, tmp_path: Path, words: tuple[str], said: str
) -> None:
    result = run(
        "photos", "contact-sheet", *words, "--to", tmp_path / "a.pdf", "--content", content
    )
    assert said in str(result.exception)
    assert not (tmp_path / "a.pdf").exists()


def test_a_file_that_is_there_is_not_overwritten(content: Path, tmp_path: Path) -> None:
    (tmp_path / "a.pdf").write_text("mine")
    words = (
        "photos",
        "contact-sheet",
        "fin/skeleton",
        "--to",
        tmp_path / "a.pdf",
        "--content",
        content,
    )
    assert "is there already" in str(run(*words).exception)
    assert (tmp_path / "a.pdf").read_text() == "mine"
    assert run(*words, "--force").return_value == 0


def test_a_broken_photo_costs_only_itself(content: Path, tmp_path: Path) -> None:
    (content / "photos/07.jpg").write_bytes(b"no picture")
    result = run(
        "photos", "contact-sheet", "fin/skeleton", "--to", tmp_path / "a.pdf", "--content", content
    )
    assert result.return_value == 1
    assert "`photos/07.jpg` is not a picture" in result.output
    assert (
        sum(len(images) for _, _, images in pages((tmp_path / "a.pdf").read_bytes())) == COUNT - 1
    )


@pytest.fixture(scope="module")
def printed(small_site: SmallSite, browser) -> Iterator[Callable[[str], bytes]]:  # type: ignore[no-untyped-def]
    site = small_site(book())
    page = browser.new_page()
    page.goto((site.folder / "sections/fin/skeleton/contact-sheet.html").as_uri())
    assert page.locator(".bb-contact").count() == COUNT
    page.evaluate("for (const image of document.images) image.loading = 'eager'")
    page.wait_for_function("[...document.images].every(image => image.complete)")
    yield lambda paper: page.pdf(format=paper, prefer_css_page_size=False, print_background=True)
    page.close()


@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("Letter", LETTER)])
def test_the_page_prints_every_photo_whole(
    printed: Callable[[str], bytes], paper: str, size: tuple[float, float]
) -> None:
    found = pages(printed(paper))
    assert len(found) == 2
    assert sum(len(images) for _, _, images in found) == COUNT, "none is split between pages"
    for shown, _, images in found:
        assert shown == pytest.approx(size, abs=0.6)
        for left, bottom, right, top in images:
            assert 8 < left < right < size[0] - 8
            assert 10 < bottom < top < size[1] - 10
            assert max(right - left, top - bottom) > 25, "large enough to be seen"
    said = " ".join(text for _, text, _ in found)
    order = [said.index(f"Rib {n:02}") for n in range(COUNT)]
    assert order == sorted(order)
    assert said.count("March 2025") >= COUNT


def test_only_steps_with_photos_have_a_sheet(small_site: SmallSite) -> None:
    site = small_site(book())
    assert not (site.folder / "sections/fin/close/contact-sheet.html").exists()
    links = [a.attributes["href"] for a in site.page("sections/fin/skeleton").all("a")]
    assert any(link.endswith("sections/fin/skeleton/contact-sheet.html") for link in links)
    links = [a.attributes["href"] for a in site.page("sections/fin/close").all("a")]
    assert not any("contact-sheet" in link for link in links)
