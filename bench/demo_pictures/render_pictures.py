"""Render the demo book's pictures of workshop work.

    pip install bpy piexif pillow tzdata
    python bench/demo_pictures/render_pictures.py

Only missing pictures are rendered; `--all` renders every one again, `--only TEXT` those whose
file name contains TEXT. Needs Python 3.11. Nothing here is a photograph.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from picture_kit import elevators, fin, fuselage, rudder, stabiliser
from picture_kit.album import ALBUM, Picture
from picture_kit.stage import Stage
from picture_kit.stamp import save

PHOTOS = Path(__file__).resolve().parents[2] / "content" / "photos"
SECTIONS = (fin, rudder, stabiliser, elevators, fuselage)


def render(picture: Picture, path: Path, args: argparse.Namespace) -> None:
    """Render one picture to a JPEG at `path`, with its metadata."""
    stage = Stage(picture.evening)
    picture.fill(stage)
    with tempfile.TemporaryDirectory() as folder:
        raw = Path(folder) / "raw.png"
        stage.shoot(picture.view, raw, args.samples, args.threads, args.scale)
        path.parent.mkdir(parents=True, exist_ok=True)
        save(picture, raw, path)


def main() -> None:
    """Render what is asked for and say how long each picture took."""
    parser = argparse.ArgumentParser(description="Render the demo book's pictures.")
    parser.add_argument("--all", action="store_true", help="render again what is already there")
    parser.add_argument("--only", default="", help="only files whose name contains this")
    parser.add_argument("--out", type=Path, default=PHOTOS, help="folder for the pictures")
    parser.add_argument("--samples", type=int, default=10, help="light paths a pixel")
    parser.add_argument("--scale", type=int, default=72, help="size in percent")
    parser.add_argument("--threads", type=int, default=2, help="processor threads")
    args = parser.parse_args()
    for picture in ALBUM:
        path = args.out / picture.file
        if args.only not in picture.file or (path.exists() and not args.all):
            continue
        start = time.monotonic()
        render(picture, path, args)
        taken = time.monotonic() - start
        print(f"{picture.file}  {path.stat().st_size // 1000} kB  {taken:.0f} s", flush=True)


if __name__ == "__main__":
    main()
