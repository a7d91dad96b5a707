"""Every YAML sample of the documentation is read by the program's own reader without an error."""

from datetime import date

import pytest
import scratch
import yaml
from markdown_pages import blocks, made_pages, page_names
from mkdocs.config import load_config

from buildbook.records.problems import Severity
from buildbook.records.read import read

DEMO = (
    "as-built",
    "clips",
    "costs",
    "evidence",
    "lots-and-air",
    "notices",
    "photos",
    "weight-and-balance",
)
"""Pages whose samples are about the demo book."""
STARTER = ("close-a-stage", "readings", "squawks", "look-up")
"""Pages whose samples are about the book that `buildbook init` makes."""
TODAY = date(2026, 6, 1)


def _book_of(page: str) -> str:
    name = page.rpartition("/")[2].removesuffix(".md")
    if page.startswith("docs/records/"):
        return "starter" if name in ("book", "sections", "lessons", "squawks") else "demo"
    return "demo" if name in DEMO else "starter" if name in STARTER else "fencroft"


SAMPLES = [
    pytest.param(block, id=block.at)
    for page in (*page_names(), *(f"docs/{p}" for p in made_pages()))
    for block in blocks(page)
    if block.language in ("yaml", "markdown") and page != "docs/tutorial.md"
]
"""Those of the tutorial are read in their order by `test_tutorial.py`."""


def test_there_are_samples():
    assert len(SAMPLES) > 50


@pytest.mark.parametrize("block", SAMPLES)
def test_sample(block, tmp_path):
    assert not errors(block.text, block.title, _book_of(block.page), tmp_path / "book"), block.at


@pytest.mark.parametrize("kind", ["fencroft", "starter", "demo"])
def test_scratch_book_without_a_sample_has_no_errors(kind, tmp_path):
    content = scratch.make(kind, tmp_path / "book") / "content"
    assert not _errors(content)


def test_broken_sample_is_found(tmp_path):
    """The test above can fail: of a good sample one name, one field and one value are spoilt."""
    good = "date: 2025-04-02\nstep: fin/skeleton\nhours: 1h\n"
    title = "content/sessions/2025-04-02.yml"
    assert not errors(good, title, "fencroft", tmp_path / "good")
    for n, (word, other) in enumerate(
        {"skeleton": "skelton", "hours": "huors", "1h": "one"}.items()
    ):
        assert errors(good.replace(word, other), title, "fencroft", tmp_path / f"bad-{n}")


def errors(sample, title, kind, folder):
    """Read a scratch book with a sample in it, and return what is wrong."""
    book = scratch.make(kind, folder)
    if title == "in mkdocs.yml":
        settings = (book / "mkdocs.yml").read_text(encoding="utf-8")
        with_sample = {**yaml.safe_load(settings), **yaml.safe_load(sample)}
        scratch.write(book / "mkdocs.yml", yaml.safe_dump(with_sample))
        load_config(str(book / "mkdocs.yml"))
        return []
    content = book / "content"
    scratch.put(sample, title, content, "2025-11-20" if kind == "demo" else "2025-03-10")
    return _errors(content)


def _errors(content):
    return [
        f"{p.place.file}: {p.message} [{p.code}]"
        for p in read(content, TODAY).problems
        if p.severity is Severity.ERROR
    ]
