"""The printed book of a made-up build: seconds, memory, size and volumes.

Run `python bench/pdf.py [--sessions 60 2000] [--photos 100 2000]`. Each size is set in a process of
its own, whose peak memory is shown beside that of the largest process it starts; the photos are
made ready before, as for the site. The figures are in README.md.
"""

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from make_book import make_book

ROOT = Path(__file__).parent.parent
PHOTO = (2400, 1800)
"""Pixels: the demo's renderings, enlarged and each shifted by another amount."""


def add_photos(folder: Path, count: int) -> None:
    """Give the book so many photos, spread evenly over its sessions."""
    import pyvips  # noqa: PLC0415

    sources = sorted((ROOT / "content" / "photos").rglob("*.jpg"))
    photos = folder / "content" / "photos"
    sessions = sorted((folder / "content" / "sessions").rglob("*.yml"))
    shown: dict[Path, list[str]] = {}
    for n in range(count):
        image = pyvips.Image.thumbnail(str(sources[n % len(sources)]), 2600, height=2600)
        left = 7 * n % max(1, image.width - PHOTO[0])
        top = 3 * n % max(1, image.height - PHOTO[1])
        width, height = min(PHOTO[0], image.width), min(PHOTO[1], image.height)
        name = f"made-{n:05}.jpg"
        crop = image.crop(
            left, top, min(width, image.width - left), min(height, image.height - top)
        )
        (photos / name).write_bytes(crop.jpegsave_buffer(Q=88))
        shown.setdefault(sessions[n * len(sessions) // count], []).append(name)
    for path, names in shown.items():
        text = path.read_text(encoding="utf-8")
        entries = "".join(
            f"  - file: {name}\n    caption: Photo {name[5:10]}, the work as it was left\n"
            for name in names
        )
        if "\nphotos:\n" in text:
            text = text.replace("\nphotos:\n", f"\nphotos:\n{entries}", 1)
        else:
            text += f"photos:\n{entries}"
        path.write_text(text, encoding="utf-8")


def measured(content: Path, cache: Path, to: Path) -> dict[str, object]:
    """Set the book, in this process and those it starts, and tell what it took."""
    from buildbook.handover.pdf import set_book  # noqa: PLC0415
    from buildbook.ledger.ledger import derive  # noqa: PLC0415
    from buildbook.media.published import hidden, published  # noqa: PLC0415
    from buildbook.media.store import PictureStore  # noqa: PLC0415
    from buildbook.pages.context import Context  # noqa: PLC0415
    from buildbook.records.read import read  # noqa: PLC0415

    started = time.perf_counter()
    book = read(content).book
    store = PictureStore(book.folder / "photos", cache, zone=book.zone)
    pictures, _ = store.prepare(sorted(published(book)), hidden=hidden(book))
    context = Context(book, derive(book))
    to.mkdir()
    volumes = set_book(context, pictures, cache, to)
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    own = resource.getrusage(resource.RUSAGE_SELF)
    sizes = [volume.file.stat().st_size for volume in volumes]
    return {
        "wall": time.perf_counter() - started,
        "cpu": used.ru_utime + used.ru_stime + own.ru_utime + own.ru_stime,
        "own_mb": own.ru_maxrss / 1024,
        "typst_mb": used.ru_maxrss / 1024,
        "volumes": len(volumes),
        "pages": sum(volume.pages for volume in volumes),
        "mb": sum(sizes) / 1e6,
        "largest_mb": max(sizes) / 1e6,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sessions", type=int, nargs="+", default=[60])
    parser.add_argument("--photos", type=int, nargs="+", default=[100])
    parser.add_argument("--one", type=Path, help=argparse.SUPPRESS)
    said = parser.parse_args()
    if said.one:
        folder = said.one
        print(
            json.dumps(
                measured(folder / "content", folder / "cache", folder / f"pdf-{time.time()}")
            )
        )
        return
    print(
        "sessions photos  wall s   cpu s  peak MB: own  typst  volumes  pages  MB in all  largest"
    )
    for sessions, photos in zip(said.sessions, said.photos, strict=True):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name) / "book"
            make_book(folder, sessions)
            add_photos(folder, photos)
            for _ in range(2):  # the first makes the pictures ready
                command = [sys.executable, __file__, "--one", str(folder)]
                done = subprocess.run(command, capture_output=True, check=True)
            r = json.loads(done.stdout)
            print(
                f"{sessions:8,} {photos:6,} {r['wall']:7.1f} {r['cpu']:7.1f} {r['own_mb']:13.0f} "
                f"{r['typst_mb']:6.0f} {r['volumes']:8} {r['pages']:6} {r['mb']:10.1f} "
                f"{r['largest_mb']:8.1f}"
            )


if __name__ == "__main__":
    main()
