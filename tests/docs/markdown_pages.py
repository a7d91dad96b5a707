"""The documentation as its tests see it: pages, their blocks, samples and command lines."""

import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from types import ModuleType

from sites import ROOT

DOCS = ROOT / "docs"
LANGUAGES = ("yaml", "console", "sh", "text", "markdown")
"""What a block may be. `text` is shown only; every line of `sh`, and each behind `$ ` in `console`,
is a command."""
_FENCE = re.compile(r'(?P<indent> *)```(?P<language>\w*)(?: title="(?P<title>[^"]*)")?\s*$')
_SPAN = re.compile(r"(?<!`)`(buildbook(?: [^`]*)?)`(?!`)")
_PROGRAMS = ("buildbook", "cd", "pip", "python3", "sha256sum", "sqlite3")
"""What a span of code or a line of a block begins with where it is a command."""


@dataclass(frozen=True, slots=True)
class Block:
    """Something between fences, or indented."""

    page: str
    line: int
    language: str
    """Empty where none is named; `indented` where there are no fences."""
    title: str
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        return "\n".join(self.lines) + "\n"

    @property
    def at(self) -> str:
        return f"{self.page}:{self.line}"


@dataclass(frozen=True, slots=True)
class Command:
    """A command line, and what the page says it answers."""

    page: str
    line: int
    words: str
    answer: tuple[str, ...] = ()
    """Lines shown below it; `...` stands for lines left out."""
    mentioned: bool = False
    """In a sentence, not in a block."""


def page_names() -> list[str]:
    """Name README and every page that is written by hand."""
    made = DOCS / "made"
    found = sorted(p for p in DOCS.rglob("*.md") if made not in p.parents)
    return ["README.md", *(p.relative_to(ROOT).as_posix() for p in found)]


@cache
def _makers() -> tuple[ModuleType, ModuleType, ModuleType]:
    """Load what makes the other pages."""
    sys.path.insert(0, str(DOCS / "made"))
    try:
        import commands as made_commands  # noqa: PLC0415 - the documentation's own modules
        import fields  # noqa: PLC0415
        import hazards  # noqa: PLC0415
    finally:
        sys.path.remove(str(DOCS / "made"))
    return fields, made_commands, hazards


@cache
def made_pages() -> dict[str, str]:
    """Make the pages that the program writes about itself, by their path below `docs/`."""
    fields, made_commands, _ = _makers()
    pages = {f"records/{name}.md": fields.page_of(kind) for name, kind in fields.KINDS.items()}
    return {**pages, "commands.md": made_commands.commands()}


def command_names() -> set[str]:
    """Name every command, and those inside another."""
    return {name for name, _ in _makers()[1].every_command()}


def made_hazards() -> str:
    """Make what stands in the page about safety in the place of its tag."""
    made: str = _makers()[2].hazards()
    return made


def text_of(page: str) -> str:
    """Return a page as written or as made."""
    made = made_pages().get(page.removeprefix("docs/"))
    return made if made is not None else (ROOT / page).read_text(encoding="utf-8")


def blocks(page: str) -> Iterator[Block]:
    """Yield the blocks of a page, those that are only indented too."""
    lines = text_of(page).splitlines()
    at, in_list = 0, False
    while at < len(lines):
        line = lines[at]
        if fence := _FENCE.match(line):
            indent, begin = len(fence["indent"]), at
            at += 1
            inside = []
            while lines[at].strip() != "```":
                inside.append(lines[at][indent:])
                at += 1
            language, title = fence["language"], fence["title"] or ""
            yield Block(page, begin + 1, language, title, tuple(inside))
        elif re.match(r"\s*([-*]|\d+\.) ", line):
            in_list = True
        elif line and not line.startswith(" "):
            in_list = False
        elif line.startswith("        " if in_list else "    ") and not lines[at - 1].strip():
            yield Block(page, at + 1, "indented", "", (line,))
        at += 1


def commands(page: str) -> Iterator[Command]:
    """Yield the command lines of a page in their order."""
    inside = {}
    for block in blocks(page):
        length = len(block.lines)
        inside.update(dict.fromkeys(range(block.line, block.line + length + 2), None))
        inside[block.line] = block
    for number, line in enumerate(text_of(page).splitlines(), 1):
        if block := inside.get(number):
            yield from _in_block(block)
        elif number not in inside:
            for span in _SPAN.findall(line):
                yield Command(page, number, span.strip(), mentioned=True)


def _in_block(block: Block) -> Iterator[Command]:
    if block.language == "sh":
        for at, line in enumerate(block.lines, block.line + 1):
            if line.strip() and not line.startswith("#"):
                assert line.startswith(_PROGRAMS), f"{block.page}:{at}: what is `{line}`?"
                yield Command(block.page, at, line)
    if block.language != "console":
        return
    found: list[tuple[int, str, list[str]]] = []
    for at, line in enumerate(block.lines, block.line + 1):
        if line.startswith("$ "):
            found.append((at, line[2:], []))
        else:
            found[-1][2].append(line)
    for at, words, answer in found:
        assert words.startswith(_PROGRAMS), f"{block.page}:{at}: what is `{words}`?"
        yield Command(block.page, at, words, tuple(answer))
