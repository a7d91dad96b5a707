"""JPEG or WebP for published pictures: bytes saved against encoding time, at equal looks.

Run `python bench/formats.py [pictures...]`; without arguments it takes the demo's pictures and,
where `python tests/fetch_samples.py` has fetched them, the cameras' own of the test samples.

Every picture is shrunk to each published long edge, as the build does it. That copy is encoded as
the build's JPEG. Every other way is then given the lowest quality at which the copy looks no worse
than in that JPEG, found by bisection, and the bytes of the two are compared. Looks are the mean
structural similarity of brightness (SSIM; Wang, Bovik, Sheikh and Simoncelli 2004: Gaussian window
of 11 pixels and 1.5 standard deviation, K1 0.01, K2 0.03) against the copy before encoding.
Encoding time is processor time, the least of several tries, the ways taking turns.
"""

import statistics
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from scipy.ndimage import gaussian_filter

from buildbook.media.engine import open_original
from buildbook.media.picture import EDGES, QUALITY

ROOT = Path(__file__).resolve().parents[1]
TRIES = 3
_TRUNCATE = 5 / 1.5  # of a Gaussian of 1.5, so that the window has 11 pixels


@dataclass(frozen=True)
class Way:
    """A way to encode a picture."""

    name: str
    save: Callable[[Any, int], bytes]
    """Encode an image at a quality."""


def _jpeg(**more: Any) -> Callable[[Any, int], bytes]:
    return lambda image, q: image.jpegsave_buffer(Q=q, keep="none", **more)


def _webp(effort: int) -> Callable[[Any, int], bytes]:
    return lambda image, q: image.webpsave_buffer(Q=q, effort=effort, keep="none")


OURS = Way("JPEG, as built", _jpeg(optimize_coding=True))
OTHERS = (
    Way("JPEG, fixed tables", _jpeg()),
    Way("JPEG, progressive", _jpeg(optimize_coding=True, interlace=True)),
    Way("JPEG, trellis", _jpeg(optimize_coding=True, interlace=True, trellis_quant=True)),
    Way("WebP, effort 0", _webp(0)),
    Way("WebP, effort 4", _webp(4)),
    Way("WebP, effort 6", _webp(6)),
)


def brightness(image: Any) -> np.ndarray[Any, Any]:
    """Give the luma (ITU-R BT.601) of an sRGB image as 64-bit numbers from 0 to 255."""
    pixels = np.asarray(image.numpy(), dtype=float)
    return pixels[..., :3] @ np.array([0.299, 0.587, 0.114])


def ssim(one: np.ndarray[Any, Any], other: np.ndarray[Any, Any]) -> float:
    """Give the mean structural similarity of two pictures of 0 to 255: 1 when they are equal."""

    def blurred(values: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
        return gaussian_filter(values, 1.5, truncate=_TRUNCATE)

    c1, c2 = (0.01 * 255) ** 2, (0.03 * 255) ** 2
    mean1, mean2 = blurred(one), blurred(other)
    var1, var2 = blurred(one * one) - mean1**2, blurred(other * other) - mean2**2
    both = blurred(one * other) - mean1 * mean2
    over = (2 * mean1 * mean2 + c1) * (2 * both + c2)
    under = (mean1**2 + mean2**2 + c1) * (var1 + var2 + c2)
    return float(np.mean(over / under))


def looks(encoded: bytes, original: np.ndarray[Any, Any]) -> float:
    import pyvips  # noqa: PLC0415

    return ssim(brightness(pyvips.Image.new_from_buffer(encoded, "")), original)


def as_good(way: Way, image: Any, original: np.ndarray[Any, Any], wanted: float) -> int:
    """Give the lowest quality of a way at which a picture looks as good as wanted."""
    low, high = 1, 100
    while low < high:
        middle = (low + high) // 2
        if looks(way.save(image, middle), original) >= wanted:
            high = middle
        else:
            low = middle + 1
    return low


def pictures(paths: list[Path]) -> dict[str, list[Path]]:
    if paths:
        return {"given": paths}
    sys.path.insert(0, str(ROOT / "tests"))
    import fetch_samples  # noqa: PLC0415

    camera = ("arrow.heic", "pug.heic", "test.heic", "test.jpg")
    found = [
        a.folder / f for a in fetch_samples.ARCHIVES for f in a.files if Path(f).name in camera
    ]
    sets = {
        "demo (renderings)": sorted((ROOT / "content" / "photos").rglob("*.jpg")),
        "cameras": [f for f in found if f.is_file()],
    }
    return {name: files for name, files in sets.items() if files}


def compare(files: Iterable[Path], edge: int) -> dict[str, list[tuple[float, float, int]]]:
    """Give bytes and time against our JPEG's, and the quality, by way, a picture at a time."""
    found: dict[str, list[tuple[float, float, int]]] = {way.name: [] for way in OTHERS}
    for file in files:
        original = open_original(file.read_bytes())
        # One that is hardly shrunk still has the traces of its own JPEG, which JPEG keeps best.
        if max(original.width, original.height) < 1.3 * edge:
            continue
        image = original.shrunk(edge)
        image = image.thumbnail_image(edge, height=edge, size="down").copy_memory()
        before = brightness(image)
        ours = OURS.save(image, QUALITY)
        wanted = looks(ours, before)
        qualities = {way.name: as_good(way, image, before, wanted) for way in OTHERS}
        least: dict[str, float] = {}
        size = {OURS.name: len(ours)}
        for _ in range(TRIES):
            for way in (OURS, *OTHERS):
                started = time.process_time()
                made = way.save(image, qualities.get(way.name, QUALITY))
                took = time.process_time() - started
                least[way.name] = min(took, least.get(way.name, took))
                size[way.name] = len(made)
        for way in OTHERS:
            found[way.name].append(
                (
                    size[way.name] / size[OURS.name],
                    least[way.name] / least[OURS.name],
                    qualities[way.name],
                )
            )
    return found


def main(paths: list[Path]) -> None:
    import pyvips  # noqa: PLC0415

    pyvips.concurrency_set(1)
    print(f"beside our JPEG of quality {QUALITY}, at equal structural similarity; medians\n")
    print(f"{'':20}{'edge':>6}{'pictures':>10}{'bytes':>8}{'time':>8}{'quality':>9}")
    for name, files in pictures(paths).items():
        print(name)
        for edge in EDGES:
            for way, rows in compare(files, edge).items():
                if rows:
                    size, took, quality = (statistics.median(r[i] for r in rows) for i in range(3))
                    print(f"{way:20}{edge:6}{len(rows):10}{size:8.2f}{took:8.1f}{quality:9.0f}")


if __name__ == "__main__":
    main([Path(word) for word in sys.argv[1:]])
