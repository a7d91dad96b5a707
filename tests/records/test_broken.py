"""Broken records as data: every case says exactly what `check` must answer.

The cases are in `broken/*.yml`, each over the small good book in `base/`:

- `case`: its name
- `files`: path and text of files added or replaced
- `change`: path, words in the base file, and what stands there instead
- `raw`: path and bytes of files, with Python's escapes
- `repeat`: path, and a text with how many times it stands there
- `remove`: paths taken away
- `links`: path of a symbolic link and what it leads to
- `says`: the whole answer; it must be the last field of its case

After a message was changed on purpose, `python tests/records/test_broken.py` writes the answers
anew; read the difference before keeping it.
"""

import shutil
import sys
import tempfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from buildbook.cli.report import as_text
from buildbook.records.read import read

HERE = Path(__file__).parent
BASE = HERE / "base"
TODAY = date(2026, 1, 1)


def cases() -> Iterator[tuple[Path, dict[str, Any]]]:
    for path in sorted((HERE / "broken").glob("*.yml")):
        for case in yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CBaseLoader):
            yield path, case


def lay_out(case: dict[str, Any], folder: Path) -> None:
    """Copy the base book and break it."""
    shutil.copytree(BASE, folder)
    known = {"case", "files", "change", "raw", "repeat", "remove", "links", "says"}
    assert set(case) <= known, f"{case['case']}: {set(case) - known}"
    for name in case.get("remove", ()):
        (folder / name).unlink()
    contents = {n: t.encode() for n, t in case.get("files", {}).items()}
    for name, escaped in case.get("raw", {}).items():
        contents[name] = escaped.encode("latin-1").decode("unicode_escape").encode("latin-1")
    for name, pieces in case.get("repeat", {}).items():
        contents[name] = "".join(text * int(times) for text, times in pieces).encode()
    for name, changes in case.get("change", {}).items():
        text = (folder / name).read_text(encoding="utf-8")
        for old, new in changes.items():
            assert text.count(old) == 1, f"{case['case']}: `{old}` is not once in {name}"
            text = text.replace(old, new)
        contents[name] = text.encode()
    for name, content in contents.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    for name, target in case.get("links", {}).items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.symlink_to(target)


def answer(folder: Path) -> str:
    return as_text(read(folder, TODAY).findings(), Path())


def test_the_base_book_is_clean() -> None:
    assert answer(BASE) == "no problems\n"


@pytest.mark.parametrize(
    "case", [pytest.param(case, id=f"{path.stem}: {case['case']}") for path, case in cases()]
)
def test_broken(case: dict[str, Any], tmp_path: Path) -> None:
    folder = tmp_path / "content"
    lay_out(case, folder)
    assert answer(folder) == case["says"]


def rewrite() -> None:
    """Write the answers of all cases anew."""
    for path in sorted((HERE / "broken").glob("*.yml")):
        text = path.read_text(encoding="utf-8")
        entries = text.split("\n- case: ")
        for i, entry in enumerate(entries):
            if not entry.startswith("- case: ") and i == 0:
                continue
            own = entry.split("\n  says: |")[0].rstrip("\n")
            source = own if own.startswith("- case: ") else f"- case: {own}"
            [case] = yaml.load(f"{source}\n", Loader=yaml.CBaseLoader)
            with tempfile.TemporaryDirectory() as temporary:
                folder = Path(temporary) / "content"
                lay_out(case, folder)
                said = answer(folder)
            lines = "".join(f"    {ln}\n" if ln else "\n" for ln in said.splitlines())
            entries[i] = f"{own}\n  says: |\n{lines}"
        path.write_text("\n- case: ".join(entries), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(rewrite())
