"""The promise of the first page: four lines are a session, and it shows up everywhere."""

import shutil
from pathlib import Path

import pytest
from parsed import article
from sites import ROOT, Site, build
from test_totals import columns, lead, minutes, rows, summed

STEP = "aft-fuselage/close-top-skin"
PART = "ST-014-L"
SESSION = f"""\
date: 2025-11-16
step: {STEP}
hours: 2h30
notes: Compared the stringers with {PART} and clamped the top skin for a first look.
"""
MINUTES = 150
PATH = "sessions/2025-11-16"


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> tuple[Site, Site]:
    """The demo book before and after; its photos left out, they change no total."""
    folder = tmp_path_factory.mktemp("four-lines")
    shutil.copytree(ROOT / "content", folder / "content", ignore=shutil.ignore_patterns("photos"))
    shutil.copy(ROOT / "mkdocs.yml", folder)
    before = build(folder / "mkdocs.yml", folder / "before")
    (folder / "content/sessions/2025/2025-11-16.yml").write_text(SESSION, encoding="utf-8")
    return before, build(folder / "mkdocs.yml", folder / "after")


def test_it_has_its_page(books: tuple[Site, Site]) -> None:
    before, after = books
    assert not Path(before.folder / f"{PATH}.html").exists()
    page = article(after.page(PATH))
    assert "2 h 30" in page.text
    assert "clamped the top skin for a first look" in page.text
    links = dict(page.links)
    assert links[PART] == f"../parts/{PART}.html"
    assert f"../sections/{STEP}.html" in links.values()
    assert after.log == before.log


def test_its_step_and_section_tell_of_it(books: tuple[Site, Site]) -> None:
    step = article(books[1].page(f"sections/{STEP}"))
    assert "clamped the top skin for a first look" in step.text
    assert f"../../{PATH}.html" in dict(step.links).values()
    before, after = (article(site.page("sections/aft-fuselage")) for site in books)
    name = step.one("h1").text
    line = [
        [row.text for row in page.one("table", "bb-steps").all("tr") if name in row.text]
        for page in (before, after)
    ]
    assert line[0] != line[1]
    assert "begun" in line[1][0]
    assert "2 h 30" in line[1][0]


def test_the_part_it_mentions_tells_of_it(books: tuple[Site, Site]) -> None:
    before, after = (article(site.page(f"parts/{PART}")) for site in books)
    assert f"../{PATH}.html" not in dict(before.links).values()
    assert f"../{PATH}.html" in [to for _, to in after.links]


@pytest.mark.parametrize("path", ["index", "hours", "sessions"])
def test_it_counts_in_the_whole(books: tuple[Site, Site], path: str) -> None:
    """Written without `who`, it is the builder's own: clock hours and person-hours alike."""
    (clock, person), after = (lead(article(site.page(path))) for site in books)
    assert after == (clock + MINUTES, person + MINUTES)


def test_it_counts_in_every_table(books: tuple[Site, Site]) -> None:
    pages = [article(site.page("hours")) for site in books]
    before, after = (
        {columns(table)[0]: (columns(table), table) for table in summed(page)} for page in pages
    )
    assert before.keys() == after.keys()
    assert {"Section", "Step", "Month", "Person", "Part", "Operation"} <= after.keys()
    for name, (heads, table) in after.items():
        old = before[name][1]
        for head in ("Clock hours", "Person-hours"):
            at = heads.index(head)
            was, now = (minutes(rows(t, "tfoot")[0][at]) for t in (old, table))
            # What one person did has the same length by both counts.
            assert now == was + MINUTES, (name, head)


@pytest.mark.parametrize(
    ("name", "row"),
    [("Section", "Aft fuselage"), ("Month", "November 2025"), ("Person", "Maren Lind")],
)
def test_it_counts_in_its_rows(books: tuple[Site, Site], name: str, row: str) -> None:
    found = []
    for site in books:
        (table,) = [t for t in summed(article(site.page("hours"))) if columns(t)[0] == name]
        at = columns(table).index("Clock hours")
        (minute,) = [minutes(r[at]) for r in rows(table, "tbody") if r[0] == row]
        found.append(minute)
    assert found[1] == found[0] + MINUTES
