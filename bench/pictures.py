"""Milliseconds a photo, in the published sizes, for this project and for the plain ways.

    python bench/pictures.py [photos]   time; 24 photos when left out
    python bench/pictures.py --memory   the most memory, of photos of 48 megapixels

Every way gets the same generated 12-megapixel JPEGs and makes the same sizes of the same quality,
in a process of its own; the ways take turns, and the medians of the rounds are shown. The ratios
are taken within each round, so that what else a machine does strikes both sides; on a busy machine
only the processor time says something.
"""

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
LARGE = (8000, 6000)
EDGES = (1600, 800, 400)  # as buildbook.media.picture.EDGES; the plain ways do without it
QUALITY = 82


def generate(folder: Path, count: int, size: tuple[int, int] = SIZE, kind: str = "JPEG") -> None:
    """Make pictures as heavy as a telephone's: soft shapes with grain, about 3.8 MB each."""
    from PIL import Image  # noqa: PLC0415

    if kind == "HEIF":
        import pillow_heif  # noqa: PLC0415

        pillow_heif.register_heif_opener()
    for number in range(count):
        small = Image.effect_noise((40 + number, 30), 90).convert("L")
        soft = small.resize(size, Image.Resampling.BICUBIC)
        grain = Image.effect_noise(size, 22)
        bands = [soft, Image.blend(soft, grain, 0.35), Image.blend(soft, grain, 0.25)]
        exif = Image.Exif()
        exif[0x0112] = 1 + number % 8
        quality = 92 if kind == "JPEG" else 50
        path = folder / f"{number:03}.{'jpg' if kind == 'JPEG' else 'heic'}"
        Image.merge("RGB", bands).save(path, kind, quality=quality, exif=exif)


def pillow_loop(photos: Path, out: Path) -> None:
    """Pillow as it is written without thinking."""
    from PIL import Image, ImageOps  # noqa: PLC0415

    for path in sorted(photos.iterdir()):
        for edge in EDGES:
            with Image.open(path) as image:
                upright = ImageOps.exif_transpose(image).convert("RGB")
                upright.thumbnail((edge, edge))
                upright.save(out / f"{path.stem}-{edge}.jpg", quality=QUALITY)


def pillow_draft(photos: Path, out: Path) -> None:
    """Pillow with the JPEG shrunk while it is decoded, and the small size from the large."""
    from PIL import Image, ImageOps  # noqa: PLC0415

    for path in sorted(photos.iterdir()):
        with Image.open(path) as image:
            image.thumbnail((EDGES[0], EDGES[0]))
            upright = ImageOps.exif_transpose(image)
            for edge in EDGES:
                upright.thumbnail((edge, edge))
                upright.save(out / f"{path.stem}-{edge}.jpg", quality=QUALITY)


def bare_vips(photos: Path, out: Path) -> None:
    """Nothing but a call of `thumbnail` for each size of a photo."""
    import pyvips  # noqa: PLC0415

    for path in sorted(photos.iterdir()):
        for edge in EDGES:
            image = pyvips.Image.thumbnail(str(path), edge, height=edge)
            image.jpegsave(str(out / f"{path.stem}-{edge}.jpg"), Q=QUALITY, keep="none")


def ours(
    workers: int, again: bool = False, full_size: bool = False, blurred: bool = False
) -> Callable[[Path, Path], None]:
    """Make the way of this project."""

    def run(photos: Path, out: Path) -> None:
        from buildbook.media.store import PictureStore  # noqa: PLC0415

        zone = ZoneInfo("Europe/Oslo")
        store = PictureStore(photos, out, zone=zone, workers=workers, full_size=full_size)
        files = [path.name for path in sorted(photos.iterdir())]
        hidden = dict.fromkeys(files, ((0.1, 0.1, 0.2, 0.2),) if blurred else ())
        if again:
            store.prepare(files, hidden=hidden)
            _restart()
        pictures, problems = store.prepare(files, hidden=hidden)
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
LARGE_WAYS: dict[str, Callable[[Path, Path], None]] = {
    "ours, 2 workers": ours(2),
    "with full size too": ours(2, full_size=True),
    "the same, blurred": ours(2, full_size=True, blurred=True),
}
_started = [0.0, 0.0]  # the clock on the wall, and the processor's


def _restart() -> None:
    _started[:] = time.perf_counter(), time.process_time()


def one(way: str, photos: Path) -> None:
    """Run one way and print its seconds, its processor seconds and its peak memory."""
    with tempfile.TemporaryDirectory() as out:
        _restart()
        (WAYS | LARGE_WAYS)[way](photos, Path(out))
        took = time.perf_counter() - _started[0], time.process_time() - _started[1]
    print(*took, peak())


def peak() -> float:
    """Give the most memory this program has held, in MB.

    Not by `resource`: that counts what its parent held when it started this one.
    """
    status = Path("/proc/self/status").read_text()
    return int(next(ln for ln in status.split("\n") if ln.startswith("VmHWM")).split()[1]) / 1024


def run_one(way: str, folder: str) -> tuple[float, float, float]:
    """Run one way in a process of its own."""
    command = [sys.executable, __file__, "--one", way, folder]
    said = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    wall, cpu, peak = map(float, said)
    return wall, cpu, peak


def times(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        photos = Path(folder)
        generate(photos, count)
        weight = sum(path.stat().st_size for path in photos.iterdir()) / count / 1e6
        print(f"{count} photos of {SIZE[0]} x {SIZE[1]}, {weight:.1f} MB each; imports counted")
        rounds = [{way: run_one(way, folder) for way in WAYS} for _ in range(ROUNDS)]
    print(f"{'':24}{'ms a photo':>12}{'processor ms':>14}{'peak MB':>9}")
    for way in WAYS:
        wall, cpu, peak = (statistics.median(r[way][i] for r in rounds) for i in range(3))
        print(f"{way:24}{wall * 1000 / count:12.2f}{cpu * 1000 / count:14.2f}{peak:9.0f}")
    print(f"\n{'median of the ratios':38}{'wall':>7}{'processor':>11}")
    for mine in ("ours, 1 worker", "ours, 2 workers"):
        for other in ("Pillow, naive loop", "Pillow, draft mode", "pyvips, bare thumbnail"):
            wall, cpu = (
                statistics.median(r[mine][i] / r[other][i] for r in rounds) for i in (0, 1)
            )
            print(f"{mine} / {other:22}{wall:7.2f}{cpu:11.2f}".replace("worker /", "worker  /"))


def memory() -> None:
    print(f"peak MB, 4 photos of {LARGE[0]} x {LARGE[1]}, two workers")
    for kind in ("JPEG", "HEIF"):
        with tempfile.TemporaryDirectory() as folder:
            generate(Path(folder), 4, LARGE, kind)
            for way in LARGE_WAYS:
                print(f"{kind:6}{way:24}{run_one(way, folder)[2]:6.0f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], Path(sys.argv[3]))
    elif sys.argv[1:2] == ["--memory"]:
        memory()
    else:
        times(int(sys.argv[1]) if len(sys.argv) > 1 else 24)
