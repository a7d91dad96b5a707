"""Milliseconds a photo, to 1600 and 400 pixels, for this project and for the plain ways.

Run `python bench/pictures.py [photos]`. Every way gets the same generated 12-megapixel JPEGs and
runs in a process of its own; the ways take turns, and the medians of the rounds are shown. On a
busy machine only the processor time says something.
"""

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

ROUNDS = 3
SIZE = (4000, 3000)


def generate(folder: Path, count: int) -> None:
    """Make pictures as heavy as a telephone's: soft shapes with grain, about 3.8 MB each."""
    from PIL import Image  # noqa: PLC0415

    for number in range(count):
        small = Image.effect_noise((40 + number, 30), 90).convert("L")
        soft = small.resize(SIZE, Image.Resampling.BICUBIC)
        grain = Image.effect_noise(SIZE, 22)
        bands = [soft, Image.blend(soft, grain, 0.35), Image.blend(soft, grain, 0.25)]
        exif = Image.Exif()
        exif[0x0112] = 1 + number % 8
        Image.merge("RGB", bands).save(folder / f"{number:03}.jpg", quality=92, exif=exif)


def pillow_loop(photos: Path, out: Path) -> None:
    """Pillow as it is written without thinking."""
    from PIL import Image, ImageOps  # noqa: PLC0415

    for path in sorted(photos.iterdir()):
        for edge in (1600, 400):
            with Image.open(path) as image:
                upright = ImageOps.exif_transpose(image).convert("RGB")
                upright.thumbnail((edge, edge))
                upright.save(out / f"{path.stem}-{edge}.jpg", quality=82)


def pillow_draft(photos: Path, out: Path) -> None:
    """Pillow with the JPEG shrunk while it is decoded, and the small size from the large."""
    from PIL import Image, ImageOps  # noqa: PLC0415

    for path in sorted(photos.iterdir()):
        with Image.open(path) as image:
            image.thumbnail((1600, 1600))
            upright = ImageOps.exif_transpose(image)
            for edge in (1600, 400):
                upright.thumbnail((edge, edge))
                upright.save(out / f"{path.stem}-{edge}.jpg", quality=82)


def bare_vips(photos: Path, out: Path) -> None:
    """Nothing but two calls of `thumbnail` a photo."""
    import pyvips  # noqa: PLC0415

    for path in sorted(photos.iterdir()):
        for edge in (1600, 400):
            image = pyvips.Image.thumbnail(str(path), edge, height=edge)
            image.jpegsave(str(out / f"{path.stem}-{edge}.jpg"), Q=82, keep="none")


def ours(workers: int, again: bool = False) -> Callable[[Path, Path], None]:
    """Make the way of this project."""

    def run(photos: Path, out: Path) -> None:
        from buildbook.media.store import PictureStore  # noqa: PLC0415

        store = PictureStore(photos, out, zone=ZoneInfo("Europe/Oslo"), workers=workers)
        files = [path.name for path in sorted(photos.iterdir())]
        if again:
            store.prepare(files)
            _restart()
        pictures, problems = store.prepare(files)
        if len(pictures) != len(files) or problems:
            sys.exit(f"not prepared: {problems}")

    return run


WAYS: dict[str, Callable[[Path, Path], None]] = {
    "Pillow, naive loop": pillow_loop,
    "Pillow, draft mode": pillow_draft,
    "pyvips, bare thumbnail": bare_vips,
    "ours, 1 worker": ours(1),
    "ours, 2 workers": ours(2),
    "ours, nothing changed": ours(2, again=True),
}
_started = [0.0, 0.0]  # the clock on the wall, and the processor's


def _restart() -> None:
    _started[:] = time.perf_counter(), time.process_time()


def one(way: str, photos: Path) -> None:
    """Run one way and print its seconds, its processor seconds and its peak memory."""
    with tempfile.TemporaryDirectory() as out:
        _restart()
        WAYS[way](photos, Path(out))
        took = time.perf_counter() - _started[0], time.process_time() - _started[1]
    print(*took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        photos = Path(folder)
        generate(photos, count)
        weight = sum(path.stat().st_size for path in photos.iterdir()) / count / 1e6
        print(f"{count} photos of {SIZE[0]} x {SIZE[1]}, {weight:.1f} MB each; imports counted")
        took: dict[str, list[float]] = {way: [] for way in WAYS}
        busy: dict[str, list[float]] = {way: [] for way in WAYS}
        peak: dict[str, float] = {}
        for _ in range(ROUNDS):
            for way in WAYS:
                said = subprocess.run(
                    [sys.executable, __file__, "--one", way, folder],
                    check=True,
                    capture_output=True,
                    text=True,
                ).stdout.split()
                took[way].append(float(said[0]) * 1000 / count)
                busy[way].append(float(said[1]) * 1000 / count)
                peak[way] = float(said[2])
    print(f"{'':24}{'ms a photo':>12}{'processor ms':>14}{'peak MB':>9}")
    for way in WAYS:
        wall, cpu = statistics.median(took[way]), statistics.median(busy[way])
        print(f"{way:24}{wall:12.2f}{cpu:14.2f}{peak[way]:9.0f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], Path(sys.argv[3]))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 24)
