"""The printed book of a made-up build: seconds, memory, size and volumes.

Run `python bench/pdf.py [--sessions 60 2000] [--photos 100 2000]`. Each size is set twice, in
a process of its own each time: first with photos nobody has made ready yet, then with those the
first time left. Memory is what that process and those it starts hold at one moment, pages they
share counted once (Linux). The figures are in README.md.
"""

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import threading
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


class Watch(threading.Thread):
    """Notes the most memory this process and those it has started hold at one moment, in MB."""

    def __init__(self) -> None:
        super().__init__(daemon=True)
        self.most = self.own = 0.0
        self._over = threading.Event()

    def run(self) -> None:
        """Look every few milliseconds."""
        while not self._over.wait(0.005):
            try:
                own = held(os.getpid())
                both = own + sum(map(held, started()))
            except OSError:
                continue  # it ended while it was looked at
            if both > self.most:
                self.most, self.own = both, own

    def end(self) -> None:
        """Stop looking."""
        self._over.set()
        self.join()


def held(process: int) -> float:
    """Return what a process holds, in MB: of what it shares, its share."""
    text = Path(f"/proc/{process}/smaps_rollup").read_text()
    return next(int(x.split()[1]) for x in text.splitlines() if x.startswith("Pss:")) / 1024


def started() -> list[int]:
    """List the processes this one has started and that still run."""
    tasks = Path("/proc/self/task").iterdir()
    return [int(n) for task in tasks for n in (task / "children").read_text().split()]


def measured(content: Path, cache: Path, to: Path) -> dict[str, object]:
    """Set the book, in this process and those it starts, and tell what it took."""
    from buildbook.handover.pdf import set_book  # noqa: PLC0415
    from buildbook.ledger.ledger import derive  # noqa: PLC0415
    from buildbook.media.published import hidden, published  # noqa: PLC0415
    from buildbook.media.store import PictureStore  # noqa: PLC0415
    from buildbook.pages.context import Context  # noqa: PLC0415
    from buildbook.records.read import read  # noqa: PLC0415

    watch = Watch()
    watch.start()
    began = time.perf_counter()
    book = read(content).book
    store = PictureStore(book.folder / "photos", cache, zone=book.zone)
    pictures, _ = store.prepare(sorted(published(book)), hidden=hidden(book))
    context = Context(book, derive(book))
    to.mkdir()
    ready = time.perf_counter()
    volumes = set_book(context, pictures, cache, to)
    done = time.perf_counter()
    watch.end()
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    own = resource.getrusage(resource.RUSAGE_SELF)
    sizes = [volume.file.stat().st_size for volume in volumes]
    return {
        "wall": done - began,
        "set": done - ready,
        "cpu": used.ru_utime + used.ru_stime + own.ru_utime + own.ru_stime,
        "peak_mb": watch.most,
        "own_mb": watch.own,
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
        "sessions photos  ready  wall s  of it set  cpu s  peak MB  of it ours  volumes  pages"
        "  MB in all  largest"
    )
    for sessions, photos in zip(said.sessions, said.photos, strict=True):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name) / "book"
            make_book(folder, sessions)
            add_photos(folder, photos)
            for ready in ("no", "yes"):
                command = [sys.executable, __file__, "--one", str(folder)]
                done = subprocess.run(command, capture_output=True, check=True)
                r = json.loads(done.stdout)
                print(
                    f"{sessions:8,} {photos:6,}  {ready:>5} {r['wall']:7.1f} {r['set']:10.1f} "
                    f"{r['cpu']:6.1f} {r['peak_mb']:8.0f} {r['own_mb']:11.0f} {r['volumes']:8} "
                    f"{r['pages']:6} {r['mb']:10.1f} {r['largest_mb']:8.1f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
