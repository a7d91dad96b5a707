"""Seals against published SHA-256 values, and against the system's own `sha256sum`.

The values are the NIST examples of FIPS 180-4: of nothing, and of "abc".
"""

import hashlib
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from sites import BASE

from buildbook.handover.seal import digest_of, make, read_seal
from buildbook.records.read import read

EMPTY = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    folder = tmp_path / "content"
    for name, text in {**BASE, "assets/abc.txt": "abc", "assets/empty.txt": ""}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    return folder


def test_the_published_examples(content: Path) -> None:
    files = read_seal(make(read(content))).files
    assert files["assets/abc.txt"] == ABC
    assert files["assets/empty.txt"] == EMPTY
    assert digest_of(content / "assets" / "abc.txt") == ABC


@pytest.mark.skipif(not shutil.which("sha256sum"), reason="no sha256sum")
def test_sha256sum_checks_it(content: Path) -> None:
    (content / "odd \\ na\nme.md").write_text("x")
    seal = content.parent / "seal.txt"
    seal.write_bytes(make(read(content)))
    command = ["sha256sum", "--check", "--quiet", str(seal)]
    done = subprocess.run(command, cwd=content, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (content / "people.yml").write_text("- person: eve\n  name: Eve\n")
    done = subprocess.run(command, cwd=content, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "people.yml: FAILED" in done.stdout


def test_the_digests_come_about_as_the_file_says(content: Path) -> None:
    """Worked out again by the words in the seal alone."""
    (content / "sessions").mkdir()
    for month in ("01", "03"):
        (content / "sessions" / f"{month}.yml").write_text(
            f"date: 2025-{month}-08\nstep: fin/skeleton\nhours: 1h\n"
        )
    text = make(read(content)).decode()
    before, parts = "", re.findall(r"# part [^\n]+\n(.*?)# digest (\w{64})\n", text, re.DOTALL)
    assert len(parts) == 3
    for lines, digest in parts:
        assert hashlib.sha256(f"{before}\n{lines}".encode()).hexdigest() == digest
        before = digest
    above, _, last = text.rpartition("# seal ")
    assert hashlib.sha256(above.encode()).hexdigest() == last.strip()
