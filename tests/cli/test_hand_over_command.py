"""`buildbook hand-over`: what it makes, and what it says when it cannot."""

import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image
from sites import BASE, FOUR_LINES, SETTINGS

from buildbook.cli.hand_over import hand_over
from buildbook.cli.seal import verify
from buildbook.handover import package
from buildbook.handover.archive import verify_archive
from buildbook.records.readers import EDITIONS


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A book with a photo, and the settings of its site, in the working folder."""
    session = f"{FOUR_LINES}photos:\n  - file: spar.jpg\n    caption: The spar\n"
    for name, text in {**BASE, "sessions/one.yml": session}.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(str(text), encoding="utf-8")
    (tmp_path / "content" / "photos").mkdir()
    Image.effect_noise((1000, 700), 80).convert("RGB").save(
        tmp_path / "content" / "photos" / "spar.jpg"
    )
    (tmp_path / "mkdocs.yml").write_text(SETTINGS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*options: str) -> Result:
    return CliRunner().invoke(hand_over, list(options), catch_exceptions=False)


def snapshot(content: Path) -> dict[str, tuple[int, bytes]]:
    return {
        str(path): (path.stat().st_mtime_ns, path.read_bytes() if path.is_file() else b"")
        for path in sorted(content.rglob("*"))
    }


def left_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()} - {".buildbook"}


@pytest.mark.parametrize("name", EDITIONS)
def test_each_reader_gets_what_they_need(folder: Path, name: str) -> None:
    before = snapshot(folder / "content")
    done = run("--edition", name, "--to", "out")
    assert done.exit_code == 0, done.output
    kinds = package.NEEDS[name]
    assert {p.name for p in (folder / "out").iterdir()} == {*kinds, "hand-over.txt"}
    said = (folder / "out" / "hand-over.txt").read_text()
    assert "approves nothing" in said
    if "site" in kinds:
        # Pages are files, so that they open without a server.
        assert (folder / "out/site/sections/fin/skeleton.html").is_file()
    if "pdf" in kinds:
        assert (folder / f"out/pdf/the-fencroft-book-{name}.pdf").read_bytes()[:5] == b"%PDF-"
    if "archive" in kinds:
        bag = folder / f"out/archive/the-fencroft-book-{name}"
        assert verify_archive(bag) == []
        parts = {path.name for path in (bag / "data").iterdir()}
        assert parts == {"site", "pdf", "tables", "records" if name == "full" else "photos"}
    assert snapshot(folder / "content") == before
    assert left_in(folder) == {"content", "mkdocs.yml", "out"}


def test_what_is_asked_for_is_made(folder: Path) -> None:
    done = run("--edition", "public", "--pdf", "--paper", "letter", "--to", "out")
    assert done.exit_code == 0
    assert done.output.startswith("out/pdf/the-fencroft-book-public.pdf: ")
    assert {p.name for p in (folder / "out").iterdir()} == {"pdf", "hand-over.txt"}


def test_an_archive_in_parts(folder: Path) -> None:
    options = ("--edition", "owner", "--archive", "--zip", "--split", "3MB")
    assert run(*options, "--to", "out").exit_code == 0
    bags = sorted((folder / "out" / "archive").iterdir())
    assert len(bags) > 1
    assert all(bag.stat().st_size <= 3_000_000 for bag in bags)
    assert verify_archive(folder / "out" / "archive") == []
    assert run(*options, "--to", "again").exit_code == 0
    for bag in bags:
        assert bag.read_bytes() == (folder / "again" / "archive" / bag.name).read_bytes()


def test_a_flipped_byte_is_told(folder: Path) -> None:
    run("--edition", "owner", "--archive", "--to", "out")
    bag = folder / "out/archive/the-fencroft-book-owner"
    sound = CliRunner().invoke(verify, [str(bag)])
    assert (sound.exit_code, sound.output) == (0, f"{bag} is whole\n")
    photo = next((bag / "data" / "photos").iterdir())
    data = bytearray(photo.read_bytes())
    data[500] ^= 1
    photo.write_bytes(data)
    told = CliRunner().invoke(verify, [str(bag)])
    assert told.exit_code == 1
    assert told.output == (
        f"data/photos/{photo.name} was changed: it is not what it was when the archive was made\n"
        f"{bag} is not as it was made: 1 fault\n"
    )


# What goes wrong. What was there before is as it was, and nothing else is left.


@pytest.fixture
def earlier(folder: Path) -> Path:
    """A hand-over that is there already."""
    out = folder / "out"
    assert run("--edition", "inspector", "--pdf", "--to", "out").exit_code == 0
    (out / "pdf" / "noted.txt").write_text("by the reader")
    return out


def as_it_was(out: Path) -> bool:
    whole = next((out / "pdf").glob("*.pdf")).read_bytes().endswith(b"%%EOF")
    return whole and (out / "pdf" / "noted.txt").is_file()


def told(done: Result) -> str:
    assert done.exit_code == 2
    return done.output.removeprefix("Error: ").strip()


def test_an_earlier_one_is_replaced(earlier: Path) -> None:
    assert run("--edition", "inspector", "--pdf", "--to", "out").exit_code == 0
    assert not (earlier / "pdf" / "noted.txt").exists()


def test_a_folder_of_something_else(folder: Path) -> None:
    (folder / "out").mkdir()
    (folder / "out" / "letters.txt").write_text("mine")
    done = told(run("--edition", "public", "--to", "out"))
    assert done == f"{folder / 'out'} is there already and holds other things; name another folder"
    assert (folder / "out" / "letters.txt").read_text() == "mine"


def test_into_the_records(folder: Path) -> None:
    before = snapshot(folder / "content")
    done = told(run("--edition", "public", "--to", "content/out"))
    assert done == "out would be in the folder of records; name a folder outside it"
    assert (
        told(run("--edition", "public", "--to", ".")) == ". holds the records; name another folder"
    )
    assert snapshot(folder / "content") == before


def test_no_such_folder_to_write_into(folder: Path) -> None:
    done = told(run("--edition", "public", "--to", "no/out"))
    assert done == f"cannot write into {folder / 'no'}: there is no such folder"


def test_a_path_that_is_too_long(folder: Path) -> None:
    name = "x" * 300
    done = told(run("--edition", "public", "--pdf", "--to", name))
    assert done.endswith("the path is too long; what was there before is as it was")
    assert left_in(folder) == {"content", "mkdocs.yml"}


def test_a_folder_that_can_only_be_read(earlier: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(**_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(tempfile, "mkdtemp", refuse)
    done = told(run("--edition", "inspector", "--pdf", "--to", "out"))
    assert (
        done
        == f"cannot write {earlier}: you may not write there; what was there before is as it was"
    )
    assert as_it_was(earlier)


def command(*options: str) -> list[str]:
    return [
        sys.executable,
        "-c",
        "from buildbook.cli.main import main; main()",
        "hand-over",
        *options,
    ]


@pytest.mark.parametrize("kind", ["pdf", "site", "archive"])
def test_no_room_left(earlier: Path, kind: str) -> None:
    """The system refuses to write more, in whichever program it is that writes."""
    # What is made once from pictures is there already.
    assert run("--edition", "owner", "--archive", "--to", "warm").exit_code == 0
    shutil.rmtree(earlier.parent / "warm")
    most = 60_000  # bytes of one file: the PDF, the site's scripts and the photo have more
    done = subprocess.run(
        command("--edition", "owner", f"--{kind}", "--to", "out"),
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)),
    )
    assert done.returncode == 2, done.stderr
    said = done.stderr.strip().splitlines()
    assert "Traceback" not in done.stderr
    assert said[-1].startswith(f"Error: cannot write {earlier}: ")
    assert said[-1].endswith("what was there before is as it was")
    assert as_it_was(earlier)
    assert left_in(earlier.parent) == {"content", "mkdocs.yml", "out"}


def test_killed_half_way(earlier: Path) -> None:
    before = snapshot(earlier.parent / "content")
    child = subprocess.Popen(
        command("--edition", "owner", "--to", "out"),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    for _ in range(2000):
        if list(earlier.parent.glob(".out.*.part/*/*.pdf")):
            break
        time.sleep(0.01)
    else:
        pytest.fail("it never began to write")
    os.killpg(child.pid, signal.SIGKILL)
    child.wait()
    assert as_it_was(earlier)
    assert snapshot(earlier.parent / "content") == before
    assert run("--edition", "owner", "--pdf", "--to", "out").exit_code == 0
    assert not (earlier / "pdf" / "noted.txt").exists()


def test_a_photo_gone_between_looking_and_reading(
    earlier: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = earlier.parent / "content" / "photos" / "spar.jpg"
    real = package.contents

    def gone(*what: object):
        items = list(real(*what))  # type: ignore[arg-type]
        photo.unlink()
        return items

    monkeypatch.setattr(package, "contents", gone)
    done = told(run("--edition", "full", "--archive", "--to", "out"))
    assert (
        done == f"{photo.relative_to(earlier.parent)} is no longer there; "
        "nothing was changed, run it again"
    )
    assert as_it_was(earlier)


def test_a_photo_that_is_damaged(folder: Path) -> None:
    """The rest is handed over, and what is missing is said."""
    (folder / "content" / "photos" / "spar.jpg").write_bytes(b"\xff\xd8\xff half")
    done = run("--edition", "inspector", "--pdf", "--to", "out")
    assert done.exit_code == 1
    assert "spar.jpg" in done.output
    assert (folder / "out" / "pdf").is_dir()


def test_a_part_that_is_too_small(folder: Path) -> None:
    done = told(run("--edition", "owner", "--archive", "--split", "100 kB", "--to", "out"))
    assert "alone takes" in done
    assert done.endswith("write a larger size after --split")
    assert left_in(folder) == {"content", "mkdocs.yml"}
    assert "is no size" in told(run("--edition", "owner", "--split", "big", "--to", "out"))
    done = told(run("--edition", "public", "--site", "--zip", "--to", "out"))
    assert done == "--zip and --split are about the archive; add --archive"


def test_records_with_errors(folder: Path) -> None:
    """What an edition leaves out may be in what cannot be read, so it is not made."""
    (folder / "content" / "sessions" / "bad.yml").write_text("date: tomorrow\nprivate: yes\n")
    assert "the records have" in told(run("--edition", "public", "--to", "out"))
    done = run("--edition", "full", "--pdf", "--to", "out")
    assert "the records have errors, so something may be missing" in done.output


def test_no_settings_of_a_site(folder: Path) -> None:
    (folder / "mkdocs.yml").unlink()
    done = run("--edition", "public", "--to", "out")
    assert "there is no mkdocs.yml" in done.output
    assert run("--edition", "public", "--pdf", "--to", "out").exit_code == 0
    shutil.rmtree(folder / "out")
