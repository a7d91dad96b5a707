"""Scratch books that the documentation's samples and command lines are tried in."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from random import Random

import clipmaker
import fencroft
from PIL import Image
from sites import ROOT

from buildbook.cli.init import starter_files
from buildbook.records.kinds import kind_of

FENCROFT = {
    **fencroft.FILES,
    "book.yml": fencroft.BOOK.replace("F-1\n", 'F-1\n  serial: "0012"\n')
    + "workshop: A barn in Wickmere\naddress: https://example.org/fencroft/\n",
    "operations.yml": fencroft.FILES["operations.yml"] + "- operation: label\n  title: Label\n",
    "sections/010-fin.yml": fencroft.FILES["sections/010-fin.yml"].replace(
        "  - step: close\n", "    inspections: Twist of the skeleton\n  - step: close\n"
    ),
    "insurance.md": "---\nprivate: yes\n---\n# Insurance\n\nThe policy is in the drawer.\n",
    "sessions/2025-03-01.yml": """\
date: 2025-03-01
step: fin/skeleton
operation: deburr
parts: FN-02-L
pieces: 01 to 03
hours: 1h30
notes: The file is blunt.
private: notes
photos:
  - file: 2025/03/ribs.jpg
    caption: Three ribs on the bench
""",
    "sessions/2025-03-08.yml": """\
date: 2025-03-08
title: Ribs drilled
# A comment of the builder's.
hours: 2h30
work:
  - step: fin/skeleton
    operation: drill
    parts: FN-02-L
    pieces: 01 to 03
    hours: 1h30
  - step: rudder/spar
squawks:
  - squawk: 40
    title: A hole is 0.02 in too near the edge
    pieces: FN-02-L-03
    disposition:
      decision: use as is
      date: 2025-03-09
      by: ada
      advice: Leave it.
      correspondence: A long letter.
    closed: {date: 2025-03-09, by: ada}
""",
}
"""A small book, by its files."""
WAIT = 120
"""Seconds until something that never ends is given up."""


def make(kind: str, folder: Path) -> Path:
    """Make one of the scratch books in a folder that is not there: `mkdocs.yml`, `content/`."""
    for name, text in starter_files("2025-03-01"):
        if kind == "starter" or not name.startswith("content/"):
            write(folder / name, text)
    if kind == "demo":
        shutil.copytree(ROOT / "content", folder / "content", copy_function=_same)
    elif kind == "fencroft":
        for name, text in FENCROFT.items():
            write(folder / "content" / name, text)
        picture(folder / "content" / "photos" / "2025" / "03" / "ribs.jpg")
    return folder


def write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.unlink(missing_ok=True)  # what is there may be the demo's own file, by another name
    path.write_text(text, encoding="utf-8")


def picture(path: Path, when: str = "2025:03:08 20:10:00") -> None:
    """Draw a picture in large fields, with what a telephone writes into it."""
    chance = Random(when)  # so that two pictures do not look alike
    image = Image.new("RGB", (640, 480), (180, 190, 150))
    for x in range(0, 640, 80):
        for y in range(0, 480, 80):
            image.paste((chance.randrange(256),) * 3, (x, y, x + 80, y + 80))
    told = Image.Exif()
    told[271], told[272] = "Lumen", "Pocket 3"
    told.get_ifd(0x8769).update({36867: when, 36881: "+01:00"})
    path.parent.mkdir(parents=True, exist_ok=True)
    image.save(path, exif=told)


def clip(path: Path) -> None:
    """Film 100 seconds, as a telephone does."""
    path.parent.mkdir(parents=True, exist_ok=True)
    clipmaker.make(path, frames=2500)


def put(sample: str, title: str, content: Path, day: str = "2025-03-10") -> None:
    """Put a sample where its title says it belongs.

    A whole file of a list takes the place of the records of the same names; a part of a record is
    put into one that has what else is needed, a session of that day. Pictures it names are made.
    """
    for file in re.findall(r"^\W*(?:file|photo): (\S+\.\w+)$", sample, re.MULTILINE):
        if not (content / "photos" / file).exists():
            draw = picture if file.endswith(".jpg") else clip
            draw(content / "photos" / file)
    if title.startswith("in content/"):
        path = content / title.removeprefix("in content/")
        write(path, _with_fields(path.read_text(encoding="utf-8"), sample))
    elif title.startswith("content/"):
        _put_file(sample, content / title.removeprefix("content/"), content)
    elif title == "in a session":
        rest = "" if sample.startswith("work:") else f"step: {_a_step(content)}\nhours: 1h\n"
        write(content / "sessions" / "sample.yml", f"date: {day}\ntitle: Sample\n{rest}{sample}")
    elif title == "in a squawk":
        inside = re.sub("^(?=.)", "    ", sample, flags=re.MULTILINE)
        entry = f"squawks:\n  - squawk: 90\n    title: A dent\n    parts: {_a_part(content)}\n"
        put(f"{entry}{inside}", "in a session", content, "2025-03-08")
    elif title in ("in a step", "in a section's steps"):
        step = sample
        if title == "in a step":
            step = f"- step: sample\n  title: Sample\n  parts: {_a_part(content)}\n"
            step += re.sub("^(?=.)", "  ", sample, flags=re.MULTILINE)
        steps = re.sub("^(?=.)", "  ", step, flags=re.MULTILINE)
        text = f"section: sample\ntitle: Sample\nsteps:\n{steps}"
        write(content / "sections" / "sample.yml", text)
    else:
        raise AssertionError(f"no test knows where `{title}` is")


def shell(words: str, book: Path, typed: str = "", here: Path | None = None) -> tuple[int, str]:
    """Run a line in a shell, in the book's folder or `here`, with a home of its own."""
    done = subprocess.run(
        ["/bin/sh", "-c", words],
        cwd=here or book,
        env=surroundings(book),
        input=typed,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=WAIT,
        check=False,
    )
    return done.returncode, done.stdout


def surroundings(book: Path) -> dict[str, str]:
    home = book / "home"
    home.mkdir(exist_ok=True)
    key = home / ".ssh" / "id_ed25519"
    if not key.exists() and shutil.which("ssh-keygen"):
        key.parent.mkdir(exist_ok=True)
        subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", key], check=True)
    programs = str(Path(sys.executable).parent)
    kept = {k: v for k, v in os.environ.items() if k in ("PATH", "PYTHONPATH", "LANG", "TMPDIR")}
    return {
        **kept,
        "PATH": f"{programs}{os.pathsep}{kept.get('PATH', '')}",
        "HOME": str(home),
        "SHELL": "/bin/bash",
        "NO_MKDOCS_2_WARNING": "1",
        "COLUMNS": "200",
    }


def _a_part(content: Path) -> str:
    return next(
        line.split(": ")[1]
        for file in sorted(content.rglob("parts*.yml")) + sorted(content.rglob("parts/*.yml"))
        for line in file.read_text(encoding="utf-8").splitlines()
        if line.startswith("- part: ")
    )


def _a_step(content: Path) -> str:
    text = next(iter(sorted((content / "sections").glob("*.yml")))).read_text(encoding="utf-8")
    section = re.search(r"^section: (\S+)", text, re.MULTILINE)
    step = re.search(r"^ *- step: (\S+)", text, re.MULTILINE)
    assert section
    assert step
    return f"{section[1]}/{step[1]}"


def _with_fields(text: str, fields: str) -> str:
    """Let fields of a record take the place of those of the same name."""
    names = [line.partition(":")[0] for line in fields.splitlines() if re.match(r"\w", line)]
    for name in names:
        text = re.sub(rf"^{re.escape(name)}:.*\n(?:[ #].*\n|\n)*", "", text, flags=re.MULTILINE)
    return f"{text.rstrip()}\n{fields}"


def _put_file(sample: str, path: Path, content: Path) -> None:
    for other in _of_same_kind(path, content):
        if left := _without_records(other.read_text(encoding="utf-8"), sample):
            write(other, left)
        else:
            other.unlink()
    listed = sample.startswith("- ") and path.exists()
    write(path, (path.read_text(encoding="utf-8") if listed else "") + sample)


def _of_same_kind(path: Path, content: Path) -> list[Path]:
    """List the files that hold records of the same kind as one, itself included."""
    kind = kind_of(path.relative_to(content).as_posix())
    files = content.rglob("*.yml")
    return [f for f in files if kind and kind_of(f.relative_to(content).as_posix()) is kind]


def _without_records(text: str, sample: str) -> str:
    """Leave out the records that a sample names too."""
    if not sample.startswith("- "):
        one = [line for line in text.splitlines() if not line.startswith("#")][:2]
        return "" if one == sample.splitlines()[:2] else text
    own = [line.partition("#")[0].strip() for line in sample.splitlines() if line.startswith("- ")]
    records = re.split("^(?=- )", text, flags=re.MULTILINE)
    kept = [r for r in records if r.split("\n")[0].partition("#")[0].strip() not in own]
    return "".join(kept).rstrip() + "\n"


def _same(source: str, target: str) -> None:
    """Give a file another name, without the time a copy takes; YAML is copied."""
    if source.endswith((".yml", ".md")):
        shutil.copy2(source, target)
        return
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)
