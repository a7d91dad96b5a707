"""Editions as sites: how each opens, what stands above its pages, and one folder for several."""

import re
from datetime import date
from pathlib import Path

import pytest
from mkdocs.exceptions import Abort
from sites import BASE, SETTINGS, Site, SmallSite

from buildbook.records.durations import show_minutes
from mkdocs_buildbook.incremental import build_site
from mkdocs_buildbook.live import Live
from mkdocs_buildbook.trace import Trace, trace_file

FILES: dict[str, str | bytes] = {
    **BASE,
    "sessions/a.yml": (
        "date: 2024-11-08\ntitle: First\nstep: fin/skeleton\nhours: 2h\nwho: ada & ben\n"
    ),
    "sessions/b.yml": "date: 2025-01-02\ntitle: Second\nstep: fin/skeleton\nhours: 20 min\n",
    "sessions/c.yml": "date: 2025-01-02\ntitle: Third\nstep: fin/skeleton\nhours: 4h\n",
    "sessions/d.yml": "date: 2025-01-05\ntitle: Zebra\nstep: fin/close\nhours: 1h\nprivate: yes\n",
    "zebra.md": "---\nprivate: yes\n---\n# Zebra page\n",
    "plain.md": "# Plain\n\n[[total]] in all.\n",
    "assets/private/zebra.txt": "zebra",
    "assets/seen.txt": "seen",
}


def settings(edition: str, more: str = "") -> str:
    form = f"  - buildbook:\n      edition: {edition}\n      form: true\n"
    return SETTINGS.replace("  - buildbook\n", form) + more


def made(small_site: SmallSite, edition: str, more: str = "") -> Site:
    return small_site(FILES, settings=settings(edition, more))


def text_of(site: Site, path: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page_of(site, path).split("<article")[1]).split())


def page_of(site: Site, path: str) -> str:
    return (site.folder / f"{path}.html").read_text(encoding="utf-8")


def test_the_inspector_begins_at_the_beginning(small_site: SmallSite) -> None:
    site = made(small_site, "inspector")
    home = page_of(site, "index")
    order = [home.index(f">{title}</a>") for title in ("First", "Second", "Third")]
    assert order == sorted(order)
    assert "Inspector's edition" in home or "Inspector&#39;s edition" in home
    # The calendar: a cell a worked day, where that day is, and the sums beside it.
    cells = re.findall(
        r'<td class="bb-day-(\d)[^"]*"><a href="([^"]+)" title="([^"]+)"[^>]*>([^<]+)</a>', home
    )
    assert cells == [
        ("2", "sessions/2024-11-08-first.html", "8 November 2024: 2 h", "2"),
        ("3", "sessions/2025-01-02-second.html", "2 January 2025: 4 h 20 in 2 sessions", "4"),
    ]
    rows = re.findall(r"<tr><th scope=\"row\"><abbr title=\"(\w+)\">.*?</tr>", home)
    assert rows == ["November", "December", "January"]
    november = re.search(r'<abbr title="November">.*?</tr>', home)
    assert november
    days = re.findall(r"<td[^>]*>", november[0])[:31]
    assert [n for n, cell in enumerate(days, 1) if "bb-day" in cell] == [8]
    weekends = [n for n, cell in enumerate(days, 1) if "bb-weekend" in cell]
    assert weekends == [d for d in range(1, 31) if date(2024, 11, d).weekday() > 4]
    assert [n for n, cell in enumerate(days, 1) if "bb-no-day" in cell] == [31]
    said = text_of(site, "index")
    assert "2025: work on 1 day, 4 h 20 by the clock." in said
    assert f"Total {show_minutes(380)}" in said
    assert "only some" not in said


def test_overviews_are_still_there(small_site: SmallSite) -> None:
    for edition in ("inspector", "owner"):
        site = made(small_site, edition)
        assert "overview.html" in page_of(site, "index")
        assert "Latest sessions" in text_of(site, "overview")
    assert "as-built.html" in page_of(site, "index")
    assert "Latest sessions" in text_of(made(small_site, "public"), "index")


def test_pages_say_which_edition_they_are_of(small_site: SmallSite) -> None:
    said = "Public edition. Left out: some sessions. Totals are of what it shows."
    site = made(small_site, "public")
    for path, _ in site.pages():
        if path != "404":
            assert said in text_of(site, path), path
    assert "6 h 20 in all" in text_of(site, "plain").replace("  ", " ")
    assert "bb-edition" not in page_of(made(small_site, "full"), "sessions")


def test_nothing_private_is_left_in_the_navigation(small_site: SmallSite) -> None:
    nav = (
        "nav:\n  - index.md\n  - Hidden: zebra.md\n  - Some:\n    - Deeper: zebra.md\n"
        "    - plain.md\n  - Others:\n    - zebra.md\n"
    )
    site = made(small_site, "public", nav)
    for file in site.folder.rglob("*"):
        assert "zebra" not in file.name.lower()
        if file.suffix in (".html", ".json", ".xml", ".txt"):
            text = file.read_text(encoding="utf-8").lower()
            assert "zebra" not in text, file
            assert "hidden</span>" not in text, file
    assert "Deeper" not in page_of(site, "index")
    assert "Others" not in page_of(site, "index")
    assert not [line for line in site.log if "zebra" in line]
    full = made(small_site, "full", nav)
    assert (full.folder / "zebra.html").is_file()
    assert (full.folder / "assets" / "private" / "zebra.txt").is_file()
    assert (site.folder / "assets" / "seen.txt").is_file()


def test_only_the_builder_writes(small_site: SmallSite) -> None:
    assert (made(small_site, "full").folder / "write-a-session.html").is_file()
    assert not (made(small_site, "owner").folder / "write-a-session.html").exists()


def test_an_edition_needs_records_that_can_be_read(
    small_site: SmallSite, caplog: pytest.LogCaptureFixture
) -> None:
    """What was to be private may be in what could not be read."""
    broken = {**FILES, "sessions/e.yml": "date: 2025-02-01\nstep: fin/close\nprivat: yes\n"}
    small_site(broken, settings=settings("full"))
    with caplog.at_level("ERROR", "mkdocs"), pytest.raises(Abort):
        small_site(broken, settings=settings("public"))
    said = "the public edition is not made while the records have an error: what is to be left out"
    assert any(said in record.getMessage() for record in caplog.records)


def write(folder: Path) -> Path:
    for name, text in FILES.items():
        path = folder / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    config = folder / "mkdocs.yml"
    config.write_text(SETTINGS, encoding="utf-8")
    return config


def test_one_folder_for_one_edition_after_another(tmp_path: Path) -> None:
    config = write(tmp_path)
    site = build_site(config, None, strict=False)
    assert (site / "zebra.html").is_file()
    assert not Trace.load(trace_file(config, None)).holds(config, "public")
    build_site(config, None, strict=False, edition="public")
    assert Trace.load(trace_file(config, None)).holds(config, "public")
    assert not Trace.load(trace_file(config, None)).holds(config)
    left = [f for f in site.rglob("*") if f.is_file() and b"zebra" in f.read_bytes().lower()]
    assert left == []
    assert not list(site.rglob("*zebra*"))


def test_a_page_is_built_again_when_something_else_is_left_out(tmp_path: Path) -> None:
    """What stands above every page changes with what is private."""
    config = write(tmp_path)
    site = build_site(config, None, strict=False, edition="public")
    lot = tmp_path / "content" / "lots.yml"
    lot.write_text("- lot: glue\n  title: Glue\n  private: yes\n", encoding="utf-8")
    build_site(config, None, strict=False, edition="public")
    said = "Left out: some lots, some sessions."
    assert said in (site / "sessions" / "2024-11-08-first.html").read_text(encoding="utf-8")


def test_any_edition_is_served(tmp_path: Path) -> None:
    from mkdocs.config import load_config  # noqa: PLC0415 - only here

    config = write(tmp_path)

    def load():
        loaded = load_config(config_file=str(config), site_dir=str(tmp_path / "out"))
        loaded.plugins["buildbook"].config.edition = "public"
        loaded.plugins["buildbook"].serving = True
        return loaded

    live = Live(load, lambda: None)
    live.refresh()
    live.stop()
    for address in ("index.html", "sessions.html", "sessions/2025-01-05-zebra.html"):
        live.ensure(address)
    assert "Public edition" in (tmp_path / "out" / "index.html").read_text(encoding="utf-8")
    assert "Zebra" not in (tmp_path / "out" / "sessions.html").read_text(encoding="utf-8")
    assert not (tmp_path / "out" / "sessions" / "2025-01-05-zebra.html").exists()
