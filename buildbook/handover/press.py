"""Setting a volume apart, in processes of their own, so that their memory is given back.

A first run finds where everything stands; the second is told, so that links and page numbers are
plain data. Typst can look them up itself, but thousands of them take it a gigabyte.

Run as a program it reads a job from standard input, and answers on standard output.
"""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from buildbook.handover.typeset import CannotSetError, has_letters_for, query_files, set_files

TEMPLATES = Path(__file__).parent / "manual"
"""The folder of the template, whose first file is `main.typ`."""
_NO_GLYPH = "\N{REPLACEMENT CHARACTER}"
_ROUNDS = 4
"""Times a volume is set until every page number is that of the page."""
_UNSET, _UNWRITTEN = 3, 4
"""Exit codes of the program below."""


@dataclass(frozen=True, slots=True)
class Pressed:
    """What came of setting a volume."""

    pages: int
    without_glyph: int
    """Letters for which the machine has no font: shown as a question mark in a diamond."""
    settled: bool
    """Every page number is that of the page it names."""


def press(
    data: dict[str, Any], pictures: Path, standard: str, on: date | None, to: Path
) -> Pressed:
    """Set a volume into a file. `standard` is the kind of PDF as typst names it, as `a-2a`.

    `data["places"]` guesses where things stand: path to page and distance from its top in points.
    The same data, pictures and date make the same bytes. Raises CannotSetError, and OSError when
    the file cannot be written.
    """
    job = {
        "data": {**data, "seeking": True, "heads": [], "pages": len(data["places"])},
        "pictures": str(pictures),
        "standard": standard,
        "on": on.isoformat() if on else "",
        "to": "",
    }
    found = _run(job)
    job["to"] = str(to)
    for _ in range(_ROUNDS):
        job["data"] = {**data, **_told(found), "seeking": False}
        now = _run(job)
        settled = _pages(now) == _pages(found)
        found = now
        if settled:
            break
    return Pressed(found["pages"], found["replaced"], settled)


def _told(found: dict[str, Any]) -> dict[str, Any]:
    """Tell the next run what the last one found: places, running heads, how many pages."""
    heads: list[dict[str, str] | None] = [None] * found["pages"]
    for level, page, number, words in found["heads"]:
        if level == 1:
            new = {"number": number, "chapter": words, "group": ""}
            heads[page - 1 :] = [new] * (found["pages"] - page + 1)
    named: set[int] = set()
    for level, page, _, words in found["heads"]:
        chapter = heads[page - 1]
        if level == 1 or chapter is None or page in named:
            continue
        named.add(page)  # the first heading on a page names it, the last one those that follow
        for n in range(page - 1, found["pages"]):
            now = heads[n]
            if now is None or now["number"] != chapter["number"]:
                break
            heads[n] = {**now, "group": words}
    return {"places": _places(found), "heads": heads, "pages": found["pages"]}


def _places(found: dict[str, Any]) -> dict[str, tuple[int, float]]:
    return {path: (page, y) for path, page, y in found["places"]}


def _pages(found: dict[str, Any]) -> tuple[Any, ...]:
    """Give all that is printed of what was found."""
    places = {path: page for path, page, _ in found["places"]}
    return places, found["heads"], found["pages"]


def _run(job: dict[str, Any]) -> Any:
    """Do a job in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "buildbook.handover.press"],
        input=json.dumps(job, ensure_ascii=False).encode("utf-8", "replace"),
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
    )
    said = done.stderr.decode("utf-8", "replace").strip()
    if done.returncode == _UNWRITTEN:
        number, _, words = said.partition(" ")
        raise OSError(int(number), words, job["to"])
    if done.returncode == _UNSET:
        raise CannotSetError(said)
    if done.returncode:
        why = said.splitlines()[-1] if said else "it was ended from outside"
        raise CannotSetError(f"the PDF could not be set: {why}")
    return json.loads(done.stdout)


def _do(job: dict[str, Any]) -> dict[str, Any]:
    """Seek, or set and write; tell what was found."""
    files = {path.name: path.read_bytes() for path in sorted(TEMPLATES.glob("*.typ"))}
    text = json.dumps(job["data"], ensure_ascii=False)
    pictures = Path(job["pictures"])
    replaced = 0
    if job["to"]:
        on = date.fromisoformat(job["on"]) if job["on"] else None
        try:
            pdf = set_files(files, text, on, pictures=pictures, standard=job["standard"])
        except CannotSetError:
            # PDF/A wants a glyph for every letter, and the machine may have none.
            plain = "".join(c if has_letters_for(c) else _NO_GLYPH for c in text)
            replaced = sum(a != b for a, b in zip(text, plain, strict=True))
            if not replaced:
                raise
            text = plain
            pdf = set_files(files, text, on, pictures=pictures, standard=job["standard"])
        Path(job["to"]).write_bytes(pdf)
        del pdf
    # What was just set is still known to typst: asking costs nothing.
    found = query_files(files, text, "<found>", pictures=pictures)
    return {**found, "replaced": replaced}


def main() -> int:
    """Read a job from standard input and do it."""
    try:
        sys.stdout.write(json.dumps(_do(json.load(sys.stdin.buffer))))
    except CannotSetError as error:
        sys.stderr.write(str(error))
        return _UNSET
    except OSError as error:
        sys.stderr.write(f"{error.errno or 0} {error.strerror or error}")
        return _UNWRITTEN
    return 0


if __name__ == "__main__":
    sys.exit(main())
