"""Evidence, as built, weight and balance, and when it was written, as a reader finds them."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner
from parsed import Element, article
from sites import BASE, FOUR_LINES, SETTINGS, Site, SmallSite

from buildbook.cli.site import build as build_command

SESSION = """\
date: 2025-03-09
step: fin/skeleton
hours: 3h
who: ada, ben
parts: FN-01
lots: primer-1
readings:
  - {reading: torque, values: 22 in-lb, min: 20 in-lb, max: 25 in-lb}
squawks:
  - squawk: 1
    title: Short edge distance
    step: fin/skeleton
    parts: FN-01
    disposition: {decision: repair, date: 2025-03-10, by: ada}
    closed: {date: 2025-03-11, by: ada}
"""
FILES: dict[str, str | bytes] = {
    **BASE,
    "sessions/1.yml": FOUR_LINES,
    "sessions/2.yml": SESSION,
    "lots.yml": "- {lot: primer-1, title: Wash primer, batch: HC-77}\n",
    "tasks.yml": "- {task: made, title: Made <here>, group: Tail, steps: fin/skeleton, "
    "assembly: 10}\n- {task: bare, title: Bare, group: Tail, assembly: 10}\n",
    "equipment.yml": "- {equipment: beacon, title: Beacon, serial: S-1, expires: 2031-06}\n",
    "recurring.yml": "- {recurring: look, title: Look inside, every: 1 year, done: 2025-03-01}\n",
    "weighings.yml": """\
- date: 2025-04-01
  datum: Firewall
  scales:
    - {at: left, reading: 160 kg, tare: 2 kg, arm: 20 in}
    - {at: right, reading: 160 kg, tare: 2 kg, arm: 20 in}
    - {at: tail, reading: 20 kg, arm: 180 in}
""",
    "balance.yml": """\
datum: Firewall
envelope: [300 kg at 25 in, 500 kg at 25 in, 500 kg at 35 in, 300 kg at 35 in]
stations:
  - {station: seats, title: Seats, arm: 40 in}
  - {station: tank, title: Tank, arm: 20 in, density: 0.72 kg/l, fuel: yes}
cases:
  - {case: Alone & light, load: {seats: 60 kg, tank: 50 l}}
  - {case: Too heavy, load: {seats: 300 kg}}
""",
}


@pytest.fixture(scope="module")
def site(small_site: SmallSite) -> Site:
    return small_site(FILES)


def rows(table: Element, part: str = "tbody") -> list[list[str]]:
    return [[c.text for c in tr if c.tag in ("td", "th")] for tr in table.one(part).all("tr")]


def test_evidence_first_says_what_has_nothing_behind_it(site: Site) -> None:
    page = article(site.page("evidence"))
    headings = [h.text for h in page.all("h2")]
    assert headings[0].startswith("Claimed, and nothing recorded behind it")
    assert "The book names no authority" in page.text
    assert "Made <here>" in page.text
    assert "Ada Fen 5 h 30, Ben Fen 3 h" in page.text


def test_weight_and_balance_adds_up(site: Site) -> None:
    page = article(site.page("weight-and-balance"))
    # 316 kg at 20 in and 20 kg at 180 in: 336 kg, 9,920 kg·in, 29.52 in.
    assert "336.0 kg empty, centre of gravity 29.52 in aft of the datum" in page.text
    weighing = page.all("table")[-1]
    assert rows(weighing, "tfoot") == [["Empty aircraft", "", "336.0", "29.52", "9,920.0"]]
    assert rows(weighing)[0] == ["left", "160 kg less 2 kg", "158.0", "20.00", "3,160.0"]
    assert "It approves nothing" in page.text


def test_cases_are_told_in_words_and_drawn_alike(site: Site) -> None:
    page = article(site.page("weight-and-balance"))
    # 336 + 60 + 36 kg; 9,920 + 2,400 + 720 kg·in.
    assert "432.0 kg at 30.19 in" in page.text
    assert "inside: 5.19 in behind the forward limit, 4.81 in ahead of the aft limit" in page.text
    assert "outside: 136.0 kg too heavy" in page.text
    svg = page.one("svg")
    assert len(svg.all("circle")) == 2  # with fuel and without
    assert len(svg.all("rect")) == 1  # outside
    assert "Outside, and square: 2." in page.text


def test_as_built_collects(site: Site) -> None:
    page = article(site.page("as-built"))
    assert "Look inside" in page.text
    assert "1 March 2026" in page.text
    assert "30 June 2031" in page.text
    assert "S-1" in page.text
    fin = article(site.page("as-built/fin"))
    assert "primer-1" in fin.text
    assert "Short edge distance" in fin.text
    assert "22 in-lb" in fin.text
    assert (site.folder / "assets" / "buildbook" / "recurring.ics").is_file()


def test_a_book_without_any_of_it(small_site: SmallSite) -> None:
    plain = small_site({**BASE, "sessions/1.yml": FOUR_LINES})
    assert not (plain.folder / "evidence.html").exists()
    assert not (plain.folder / "weight-and-balance.html").exists()
    assert not (plain.folder / "assets" / "buildbook" / "recurring.ics").exists()
    assert "Nothing is written down yet" in article(plain.page("as-built")).text


# When it was written.


def git(folder: Path, *words: str, when: str) -> None:
    env = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    who = {"NAME": "Ada", "EMAIL": "ada@example.org", "DATE": when}
    env |= {f"GIT_{part}_{k}": v for part in ("AUTHOR", "COMMITTER") for k, v in who.items()}
    env |= {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
    subprocess.run(["git", "-C", str(folder), *words], env=env, check=True, capture_output=True)


def test_without_a_history_the_page_says_so(site: Site) -> None:
    page = article(site.page("written-when"))
    assert "This cannot be shown here: the book is not kept in a version history." in page.text
    assert not page.all("table")


def test_it_can_be_left_out(small_site: SmallSite) -> None:
    settings = SETTINGS.replace("  - buildbook\n", "  - buildbook:\n      history: false\n")
    site = small_site(FILES, settings=settings)
    assert not (site.folder / "written-when.html").exists()
    assert "written-when" not in (site.folder / "evidence.html").read_text()


@pytest.mark.skipif(not shutil.which("git"), reason="no git")
def test_a_new_commit_is_seen_and_nothing_else_is_built(tmp_path: Path) -> None:
    for name, text in FILES.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    (tmp_path / "mkdocs.yml").write_text(SETTINGS, encoding="utf-8")
    git(tmp_path, "init", "-q", "-b", "main", when="2025-03-09T12:00Z")
    git(tmp_path, "add", "content/sessions/1.yml", when="2025-03-09T12:00Z")
    git(tmp_path, "commit", "-q", "-m", "One", when="2025-03-09T12:00Z")

    def built() -> str:
        done = CliRunner().invoke(build_command, ["-f", str(tmp_path / "mkdocs.yml")])
        assert done.exit_code == 0, done.output
        return (tmp_path / "site" / "written-when.html").read_text(encoding="utf-8")

    first = built()
    assert "1 day after" in first
    assert "not in the history yet" in first
    before = {p: p.stat().st_mtime_ns for p in (tmp_path / "site").rglob("*.html")}
    git(tmp_path, "add", "content/sessions/2.yml", when="2025-04-09T12:00Z")
    git(tmp_path, "commit", "-q", "-m", "Two", when="2025-04-09T12:00Z")
    second = built()
    assert "31 days after" in second
    assert "1 of 2 sessions (50 %) were first written down within 7 days" in second
    changed = {p.name for p, at in before.items() if p.stat().st_mtime_ns != at}
    assert "written-when.html" in changed
    [session] = {p for p in (tmp_path / "site" / "sessions").iterdir() if p.name in changed}
    said = session.read_text(encoding="utf-8")
    assert "First in the version history on 9 April 2025, 31 days after." in said
    assert "as-built.html" not in changed
