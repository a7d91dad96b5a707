"""A build that makes only what changed gives what a whole build gives, byte for byte."""

import random
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from sites import ROOT, SETTINGS, build

from mkdocs_buildbook.incremental import build_site
from mkdocs_buildbook.live import Live
from mkdocs_buildbook.trace import Trace, trace_file

STARTER = ROOT / "buildbook" / "cli" / "starter" / "content"
WORDS = "deburred clamped gauged marked FN-001 lesson 1 squawk 1 rear spar twice".split()


def write(folder: Path) -> Path:
    """Write a small book with a record of every kind, and return its settings."""
    shutil.copytree(STARTER, folder / "content")
    first = folder / "content" / "sessions" / "first.yml"
    first.write_text(first.read_text().replace("{today}", "2025-03-31"))  # as `init` does
    (folder / "content" / "about.md").write_text("# About\n\nTotal: [[total]].\n")
    for n in range(1, 6):
        text = f"date: 2025-04-0{n}\nstep: fin/inventory\nhours: {n}h\nnotes: Session {n}.\n"
        (folder / "content" / "sessions" / f"more-{n}.yml").write_text(text)
    settings = folder / "mkdocs.yml"
    settings.write_text(SETTINGS)
    return settings


def tree(folder: Path) -> dict[str, bytes]:
    """Read every file of a site but the packed site map, which has the time in it."""
    return {
        file.relative_to(folder).as_posix(): file.read_bytes()
        for file in folder.rglob("*")
        if file.is_file() and file.name != "sitemap.xml.gz"
    }


def difference(one: dict[str, bytes], other: dict[str, bytes]) -> list[str]:
    return sorted(n for n in one.keys() | other.keys() if one.get(n) != other.get(n))


class Changes:
    """Changes at random what is in a content folder."""

    def __init__(self, content: Path, seed: int) -> None:
        self.content = content
        self.rng = random.Random(seed)
        self.number = 0

    def files(self) -> list[Path]:
        found = [f for f in self.content.rglob("*") if f.suffix in (".yml", ".md")]
        return sorted(f for f in found if f.name != "book.yml")

    def any_change(self) -> str:
        """Make one change, and say which."""
        self.number += 1
        change = self.rng.choice(
            (
                self.word,
                self.word,
                self.word,
                self.hours,
                self.add,
                self.rename,
                self.delete,
                self.break_,
                self.page,
                self.asset,
                self.title,
            )
        )
        return f"{change.__name__}: {change()}"

    def word(self) -> str:
        """Put a word into a text of a record of any kind."""
        file = self.rng.choice(self.files())
        text = file.read_text()
        places = [m.end() for m in re.finditer(r"(?:title|notes|text|name|caption): \w+", text)]
        if places:
            at = self.rng.choice(places)
            file.write_text(f"{text[:at]} {self.rng.choice(WORDS)}{text[at:]}")
        return file.name

    def hours(self) -> str:
        file = self.rng.choice(sorted((self.content / "sessions").glob("*.yml")))
        text = file.read_text()
        file.write_text(re.sub(r"hours: \S+", f"hours: {self.rng.randint(1, 9)}h", text, count=1))
        return file.name

    def add(self) -> str:
        file = self.content / "sessions" / f"new-{self.number}.yml"
        day = self.rng.randint(10, 28)
        file.write_text(
            f"date: 2025-04-{day}\ntitle: New {self.number}\nstep: fin/inventory\nhours: 1h\n"
            f"lessons:\n  - lesson: {100 + self.number}\n    title: Measure {self.number} times\n"
            f"squawks:\n  - squawk: {100 + self.number}\n    title: A scratch\n"
        )
        return file.name

    def rename(self) -> str:
        file = self.rng.choice(sorted((self.content / "sessions").glob("*.yml")))
        file.rename(file.with_name(f"renamed-{self.number}.yml"))
        return file.name

    def delete(self) -> str:
        files = sorted((self.content / "sessions").glob("*.yml"))
        if len(files) > 2:
            self.rng.choice(files).unlink()
        return f"one of {len(files)}"

    def break_(self) -> str:
        file = self.rng.choice(self.files())
        if file.suffix == ".yml":
            file.write_text(file.read_text() + "\nnonsense: [\n")
        return file.name

    def page(self) -> str:
        file = self.content / "notes" / f"page-{self.rng.randint(1, 2)}.md"
        file.parent.mkdir(exist_ok=True)
        file.write_text(f"# Page {self.number}\n\nSee lesson 1 and [the home page](../about.md).\n")
        return file.name

    def asset(self) -> str:
        file = self.content / "assets" / f"drawing-{self.rng.randint(1, 2)}.txt"
        file.parent.mkdir(exist_ok=True)
        file.write_text(f"drawing {self.number}\n")
        return file.name

    def title(self) -> str:
        file = self.content / "book.yml"
        text = file.read_text()
        file.write_text(re.sub(r"title: .*", f"title: Book {self.number}", text, count=1))
        return file.name


@pytest.mark.parametrize("seed", range(4))
def test_after_any_change_the_site_is_what_a_whole_build_gives(tmp_path: Path, seed: int) -> None:
    settings = write(tmp_path)
    build_site(settings, None, strict=False)
    changes = Changes(tmp_path / "content", seed)
    done = []
    for n in range(8):
        done += [changes.any_change() for _ in range(changes.rng.randint(1, 2))]
        site = build_site(settings, None, strict=False)
        whole = build(settings, tmp_path / f"whole-{n}").folder
        assert difference(tree(site), tree(whole)) == [], done
        shutil.rmtree(whole)


def test_a_change_of_one_session_leaves_other_pages_as_they_are(tmp_path: Path) -> None:
    settings = write(tmp_path)
    site = build_site(settings, None, strict=False)
    before = {f: f.stat().st_mtime_ns for f in site.rglob("*.html")}
    session = tmp_path / "content" / "sessions" / "more-2.yml"
    session.write_text(session.read_text().replace("Session 2", "Session two"))
    build_site(settings, None, strict=False)
    written = {
        f.relative_to(site).as_posix() for f, t in before.items() if f.stat().st_mtime_ns > t
    }
    assert any("2025-04-02" in name for name in written)
    assert not any("2025-04-04" in name for name in written)
    assert "operations.html" not in written


def test_nothing_changed_is_seen_without_reading_the_records(tmp_path: Path) -> None:
    settings = write(tmp_path)
    build_site(settings, None, strict=False)
    place = trace_file(settings, None)
    assert Trace.load(place).holds(settings)
    session = tmp_path / "content" / "sessions" / "more-2.yml"
    session.touch()
    assert Trace.load(place).holds(settings), "the same bytes, only touched"
    session.write_text(session.read_text().replace("Session 2", "Session 3"))
    assert not Trace.load(place).holds(settings)


Touch = Callable[[Path], None]


def _template(folder: Path) -> None:
    (folder / "over" / "buildbook" / "session.html").write_text("<h1>{{ view.title }}</h1> own\n")


def _settings(folder: Path) -> None:
    text = (folder / "mkdocs.yml").read_text()
    (folder / "mkdocs.yml").write_text(text.replace("site_name: The", "site_name: A"))


def _lost_page(folder: Path) -> None:
    (folder / "site" / "hours.html").unlink()


def _mangled_page(folder: Path) -> None:
    (folder / "site" / "hours.html").write_text("")


def _no_trace(folder: Path) -> None:
    shutil.rmtree(folder / ".buildbook")


def _mangled_trace(folder: Path) -> None:
    [trace] = (folder / ".buildbook").glob("site-*.json")
    trace.write_text(trace.read_text()[:-40])


@pytest.mark.parametrize(
    "touch",
    [_template, _settings, _lost_page, _mangled_page, _no_trace, _mangled_trace],
    ids=lambda touch: touch.__name__.strip("_"),
)
def test_what_shapes_every_page_makes_every_page_anew(tmp_path: Path, touch: Touch) -> None:
    settings = write(tmp_path)
    (tmp_path / "over" / "buildbook").mkdir(parents=True)
    (tmp_path / "mkdocs.yml").write_text(
        SETTINGS.replace("  font: false\n", "  font: false\n  custom_dir: over\n")
    )
    build_site(settings, None, strict=False)
    touch(tmp_path)
    assert not Trace.load(trace_file(settings, None)).holds(settings)
    site = build_site(settings, None, strict=False)
    whole = build(settings, tmp_path / "whole").folder
    assert difference(tree(site), tree(whole)) == []


def test_another_version_of_the_program_makes_every_page_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = write(tmp_path)
    build_site(settings, None, strict=False)
    monkeypatch.setattr("mkdocs_buildbook.trace.version", lambda _: "99.0")
    assert not Trace.load(trace_file(settings, None)).holds(settings)


def test_a_build_that_is_cut_short_leaves_no_trace(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = write(tmp_path)
    build_site(settings, None, strict=False)
    (tmp_path / "content" / "sessions" / "more-2.yml").unlink()

    def fall_over(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("mkdocs_buildbook.search.add_entries", fall_over)
        with pytest.raises(KeyboardInterrupt):
            build_site(settings, None, strict=False)
    assert not Trace.load(trace_file(settings, None)).holds(settings)
    site = build_site(settings, None, strict=False)
    whole = build(settings, tmp_path / "whole").folder
    assert difference(tree(site), tree(whole)) == []


@pytest.fixture
def live(tmp_path: Path) -> Iterator[tuple[Live, Path, list[str]]]:
    """A book that is served, the folder of its site, and a note for each time it is shown again."""
    settings = write(tmp_path)
    folder = tmp_path / "served"

    def load() -> MkDocsConfig:
        return load_config(config_file=str(settings), site_dir=str(folder))

    shown: list[str] = []
    served = Live(load, lambda: shown.append("again"))
    served.refresh()
    yield served, folder, shown
    served.stop()


@pytest.mark.parametrize("seed", range(2))
def test_what_is_served_is_what_a_build_gives(
    tmp_path: Path, live: tuple[Live, Path, list[str]], seed: int
) -> None:
    served, folder, _ = live
    changes = Changes(tmp_path / "content", seed)
    done = []
    for n in range(6):
        done.append(changes.any_change())
        served.refresh()
        whole = build(tmp_path / "mkdocs.yml", tmp_path / f"whole-{n}").folder
        expected = tree(whole)
        for name in expected:
            served.ensure(name)
        wrong = [
            name
            for name, data in expected.items()
            if (folder / name).read_bytes() != data
            and b"bb-complaints" not in (folder / name).read_bytes()
        ]
        assert wrong == [], done


def test_a_record_with_a_problem_tells_it_on_its_page(
    tmp_path: Path, live: tuple[Live, Path, list[str]]
) -> None:
    served, folder, _ = live
    session = tmp_path / "content" / "sessions" / "more-2.yml"
    good = session.read_text()
    page = next(p for p in _served(served, folder, "sessions.html") if "2025-04-02" in p)
    session.write_text(good + "hourz: 3h\n")
    served.refresh()
    served.ensure(page)
    html = (folder / page).read_text()
    assert "bb-complaints" in html
    assert "sessions/more-2.yml, line 5" in html
    assert "hours" in html
    # The date gone, there is no such page; what is wrong stands in its place, not stale words.
    session.write_text("date: 2025-94-02\nnotes: New words.\n")
    served.refresh()
    served.ensure(page)
    html = (folder / page).read_text()
    assert "This record cannot be read" in html
    assert "Session 2" not in html
    other = next(p for p in _served(served, folder, "sessions.html") if "2025-04-03" in p)
    served.ensure(other)
    assert "bb-complaints" not in (folder / other).read_text()
    session.write_text(good)
    served.refresh()
    served.ensure(page)
    assert "bb-complaints" not in (folder / page).read_text()
    assert "Session 2" in (folder / page).read_text()


def _served(served: Live, folder: Path, name: str) -> list[str]:
    served.ensure(name)
    return re.findall(r'href="(sessions/[^"#]+)"', (folder / name).read_text())
