"""Templates and the views they draw agree; a theme's folder may replace any of them."""

import importlib
import re
import types
import typing
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest
from jinja2 import Environment, nodes
from parsed import article
from sites import BASE, FOUR_LINES, LISTS, SETTINGS, Site, SmallSite

import mkdocs_buildbook

TEMPLATES = Path(mkdocs_buildbook.__file__).parent / "templates" / "buildbook"
NAMED = re.compile(r"\{#\s*(?:\w+: )?(\w+)\.(\w+)\b")
"""The comment that names a view: `{# hours.HoursPageView #}`."""


def view_class(comment: str) -> type | None:
    found = NAMED.match(comment)
    if not found:
        return None
    module = importlib.import_module(f"buildbook.pages.{found[1]}")
    return getattr(module, found[2])


PAGES = sorted(f for f in TEMPLATES.glob("*.html") if "view." in f.read_text(encoding="utf-8"))


def test_there_are_templates() -> None:
    assert len(PAGES) > 15


@pytest.mark.parametrize("file", PAGES, ids=lambda file: file.stem)
def test_a_page_uses_only_what_its_view_has(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    view = view_class(text)
    assert view is not None, "the first line names the view's class"
    assert is_dataclass(view)
    assert f"`{file.name}`" in (view.__doc__ or ""), "the view names the template"
    wrong = list(Uses(view).check(Environment(autoescape=True).parse(text)))
    assert wrong == []


@pytest.mark.parametrize("file", sorted(TEMPLATES.rglob("*.html")), ids=lambda f: f.stem)
def test_comments_name_classes_that_exist(file: Path) -> None:
    for comment in re.findall(r"\{#.*?#\}", file.read_text(encoding="utf-8"), re.DOTALL):
        if NAMED.match(comment):
            assert is_dataclass(view_class(comment)), comment


@pytest.mark.parametrize("file", sorted(TEMPLATES.rglob("*.html")), ids=lambda f: f.stem)
def test_tables_have_a_class_and_a_caption(file: Path) -> None:
    """Without a class the theme draws them its way; without a caption nobody knows what it is."""
    text = file.read_text(encoding="utf-8")
    assert "<table>" not in text
    assert text.count("<table ") == text.count("<caption")


class Uses:
    """Follows names through a template with the types of what they stand for."""

    def __init__(self, view: type) -> None:
        self.known: dict[str, Any] = {"view": view}
        self.wrong: list[str] = []

    def check(self, template: nodes.Template) -> list[str]:
        self._visit(template)
        return self.wrong

    def _visit(self, node: nodes.Node) -> None:
        if isinstance(node, nodes.Macro):
            return  # its arguments are named where it is called
        if isinstance(node, nodes.For):
            self._type(node.iter)
            self._bind(node.target, element_of(self._type(node.iter)))
        elif isinstance(node, nodes.Getattr):
            self._type(node)
        for child in node.iter_child_nodes():
            self._visit(child)

    def _bind(self, target: nodes.Node, kind: Any) -> None:
        if isinstance(target, nodes.Name):
            self.known[target.name] = kind
        elif isinstance(target, nodes.Tuple):
            kinds = typing.get_args(kind) or (None,) * len(target.items)
            if kind is not None and len(kinds) != len(target.items):
                self.wrong.append(f"{len(target.items)} names for {kind}")
            for name, one in zip(target.items, kinds, strict=False):
                self._bind(name, one)

    def _type(self, node: nodes.Node) -> Any:
        if isinstance(node, nodes.Name):
            return self.known.get(node.name)
        if isinstance(node, nodes.Getattr):
            return self._attribute(self._type(node.node), node.attr)
        return None

    def _attribute(self, kind: Any, name: str) -> Any:
        options = [k for k in alternatives(kind) if k is not type(None)]
        if not options or any(k is Any or k is None for k in options):
            return None
        found = [attribute_of(k, name) for k in options]
        if all(f is MISSING for f in found):
            message = f"{kind} has no {name}"
            if message not in self.wrong:
                self.wrong.append(message)
            return None
        return next(f for f in found if f is not MISSING)


MISSING = object()


def alternatives(kind: Any) -> tuple[Any, ...]:
    if typing.get_origin(kind) in (typing.Union, types.UnionType):
        return typing.get_args(kind)
    return (kind,)


def attribute_of(kind: Any, name: str) -> Any:
    if is_dataclass(kind) and name in {f.name for f in fields(kind)}:
        return typing.get_type_hints(kind)[name]
    held = getattr(typing.get_origin(kind) or kind, name, MISSING)
    if isinstance(held, property):
        return typing.get_type_hints(held.fget).get("return")
    if held is MISSING and name in getattr(kind, "model_fields", {}):
        return typing.get_type_hints(kind)[name]
    return MISSING if held is MISSING else None


def element_of(kind: Any) -> Any:
    """What a sequence holds; None where that is not known."""
    args = typing.get_args(kind)
    if typing.get_origin(kind) is tuple and len(args) == 2 and args[1] is Ellipsis:
        return args[0]
    return None


def test_the_check_finds_what_is_missing() -> None:
    """The check itself, on a template that is wrong in three ways."""
    home = view_class("{# home.HomeView #}")
    assert home is not None
    text = (
        "{{ view.titel }}{% for link, progress in view.sections %}{{ link.txt }}"
        "{{ progress.share }}{% endfor %}{% for s in view.latest %}{{ s.link.too }}{% endfor %}"
    )
    wrong = Uses(home).check(Environment(autoescape=True).parse(text))
    assert [w.rpartition(" ")[2] for w in wrong] == ["titel", "txt", "too"]


# Every kind of page, drawn with names that must all be there (`StrictUndefined`).

BOOKS: dict[str, dict[str, str | bytes]] = {
    "only a book file": {},
    "a plan and no session": dict(BASE),
    "one session of four lines": {**BASE, "sessions/2025-03-08.yml": FOUR_LINES},
    "sessions without anything they name": {"sessions/2025-03-08.yml": FOUR_LINES},
}


@pytest.mark.parametrize("files", BOOKS.values(), ids=BOOKS.keys())
def test_small_books_are_drawn(small_site: SmallSite, files: dict[str, str | bytes]) -> None:
    site = small_site(files)
    for path in LISTS:
        assert article(site.page(path)).one("h1").text


def test_every_template_is_used_by_the_demo(demo_site: Site) -> None:
    """The demo has a page of every kind: what it does not show, nothing above tests."""
    there = {path for path, _ in demo_site.pages()}
    for kind in ("sections/", "sessions/", "parts/", "operations/", "squawks/"):
        assert any(path.startswith(kind) for path in there), kind
    assert set(LISTS) <= there


# Replacing a template.


@pytest.fixture
def overridden(small_site: SmallSite, tmp_path: Path) -> Callable[[str, str], Site]:
    def make(name: str, text: str) -> Site:
        file = tmp_path / "overrides" / "buildbook" / name
        file.parent.mkdir(parents=True)
        file.write_text(text, encoding="utf-8")
        settings = SETTINGS.replace("theme:\n", "theme:\n  custom_dir: overrides\n")
        files = {**BASE, "sessions/2025-03-08.yml": FOUR_LINES}
        return small_site(files, settings=settings, folder=tmp_path)

    return make


def test_a_page_can_be_replaced(overridden: Callable[[str, str], Site]) -> None:
    site = overridden("session.html", "<h1>Mine: {{ view.title }}</h1>\n{{ view.clock|hm }}\n")
    page = article(site.page("sessions/2025-03-08"))
    assert page.one("h1").text == "Mine: Fin: skeleton"
    assert "2 h 30" in page.text
    assert article(site.page("sections/fin")).one("table", "bb-steps")  # the rest as it was


def test_a_replaced_page_is_escaped_too(overridden: Callable[[str, str], Site]) -> None:
    site = overridden("sections.html", "<h1>{{ '<b>bold</b>' }}</h1>")
    assert article(site.page("sections")).one("h1").text == "<b>bold</b>"


def test_a_replaced_page_that_asks_for_too_much_is_an_error(
    overridden: Callable[[str, str], Site],
) -> None:
    with pytest.raises(Exception, match="has no attribute 'colour'"):
        overridden("sections.html", "{{ view.colour }}")
