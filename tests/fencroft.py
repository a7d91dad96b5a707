"""A small book on the disk, to write into."""

from pathlib import Path

from buildbook.records.read import Reading, read

BOOK = """\
title: The Fencroft book
aircraft:
  model: Fencroft F-1
builder: ada
time zone: Europe/Copenhagen
"""
FILES = {
    "book.yml": BOOK,
    "people.yml": """\
- person: ada
  name: Ada Fen
  role: builder
- person: ben
  name: Ben Fen
- person: ines
  name: Ines Marsh
  role: inspector
""",
    "operations.yml": """\
- operation: deburr
  title: Deburr
  cautions: Wear eye protection.
  hazards: aluminium dust
- operation: drill
  title: Drill
  cautions:
    - No gloves at a rotating tool.
    - Clamp the work.
- operation: prime
  title: Prime
""",
    "parts.yml": """\
- part: FN-01
  name: Rear spar
  route: deburr, drill
- part: FN-02-L
  name: Nose rib
  quantity: 6
  route: deburr, drill
  pieces:
    - {piece: 01 to 03, side: port}
    - {piece: 04 to 06, side: starboard}
- part: RD-01
  name: Rudder spar
""",
    "lessons.yml": """\
- lesson: 1
  title: Deburr before drilling
  operations: deburr
""",
    "sections/010-fin.yml": """\
section: fin
title: Fin
steps:
  - step: skeleton
    title: Skeleton
    parts: FN-01, FN-02-L
    operations: deburr, drill
    cautions: Two people for the long spar.
    estimate: 8h
    required photos: Spar from behind
  - step: close
    title: Skins on
    parts: FN-01
    operations: prime
""",
    "sections/020-rudder.yml": """\
section: rudder
title: Rudder
steps:
  - step: spar
    title: Spar
    parts: RD-01
    estimate: 2h
""",
}


def make_book(folder: Path, more: dict[str, str] | None = None) -> Path:
    """Write the book below `folder` and return its folder of records."""
    content = folder / "content"
    for name, text in {**FILES, **(more or {})}.items():
        path = content / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return content


def read_clean(content: Path) -> Reading:
    """Read a book that has no problems."""
    reading = read(content)
    assert not reading.findings(), reading.findings()
    return reading
