"""Seconds for what is published of a clip, beside ffmpeg doing the same from the command line.

    python bench/clips.py [seconds]   clips of that length; 30 when left out

Needs ffmpeg (Debian's package of that name) for the ways beside ours. Each way runs in a process of
its own, and they take turns.
"""

import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROUNDS = 3
SMALL, LARGE = (1280, 720), (1920, 1080)


def generate(path: Path, size: tuple[int, int], seconds: int) -> None:
    """Make a clip as a telephone would: moving shapes with grain, 30 frames a second, and sound."""
    noise = f"nullsrc=s={size[0]}x{size[1]}:r=30:d={seconds},geq=random(1)*40+X/8:128:128"
    source = f"testsrc2=s={size[0]}x{size[1]}:r=30:d={seconds}[a];{noise}[b];[a][b]blend=average"
    tone = f"sine=frequency=440:duration={seconds}"
    command = ["ffmpeg", "-v", "error", "-f", "lavfi", "-i", source, "-f", "lavfi", "-i", tone]
    rate = "4M" if size == SMALL else "17M"
    coded = ["-c:v", "libx264", "-preset", "ultrafast", "-b:v", rate, "-pix_fmt", "yuv420p"]
    subprocess.run([*command, *coded, "-c:a", "aac", "-shortest", path], check=True)


def ours(part: str) -> Callable[[Path, Path], None]:
    """Make the way of this project."""

    def run(path: Path, out: Path) -> None:
        from buildbook.media.clipfacts import look_at  # noqa: PLC0415
        from buildbook.media.clips import poster, preview  # noqa: PLC0415
        from buildbook.media.publishing import publish  # noqa: PLC0415

        facts = look_at(path)
        if part == "film":
            publish(path, out / "film.mp4", facts)
        elif part == "picture":
            for one in poster(path, facts, facts.seconds / 3, ()):
                (out / f"{one.width}.jpg").write_bytes(one.jpeg)
        else:
            preview(path, out / "preview.mp4", facts, ())

    return run


def ffmpeg(*words: str, before: tuple[str, ...] = ()) -> Callable[[Path, Path], None]:
    """Make the way of one call of ffmpeg; its last word is the file it writes."""

    def run(path: Path, out: Path) -> None:
        command = ["ffmpeg", "-v", "error", *before, "-i", path, *words[:-1], out / words[-1]]
        subprocess.run([str(word) for word in command], check=True)

    return run


COPIED = ("-c", "copy", "-map_metadata", "-1", "-movflags", "+faststart", "film.mp4")
CODED = ("-vf", "scale=1280:-2", "-c:v", "libx264", "-preset", "veryfast", "-crf", "25", "-maxrate")
CODED += ("4000k", "-bufsize", "8000k", "-g", "60", "-c:a", "copy", "-map_metadata", "-1")
WAYS: dict[str, Callable[[Path, Path], None]] = {
    "720p, taken over: ours": ours("film"),
    "720p, taken over: ffmpeg": ffmpeg(*COPIED),
    "720p, its picture: ours": ours("picture"),
    "720p, its picture: ffmpeg": ffmpeg("-frames:v", "1", "a.jpg", before=("-ss", "10")),
    "1080p, made anew: ours": ours("film"),
    "1080p, made anew: ffmpeg": ffmpeg(*CODED, "-movflags", "+faststart", "film.mp4"),
    "1080p, its picture: ours": ours("picture"),
    "1080p, its picture: ffmpeg": ffmpeg("-frames:v", "1", "a.jpg", before=("-ss", "10")),
    "1080p, preview: ours": ours("preview"),
}


def one(way: str, path: Path) -> None:
    """Run one way and print its seconds, its processor seconds and its peak memory."""
    with tempfile.TemporaryDirectory() as out:
        began = time.perf_counter()
        WAYS[way](path, Path(out))
        took = time.perf_counter() - began
    own, called = (
        resource.getrusage(resource.RUSAGE_SELF),
        resource.getrusage(resource.RUSAGE_CHILDREN),
    )
    busy = own.ru_utime + own.ru_stime + called.ru_utime + called.ru_stime
    peak = called.ru_maxrss if "ffmpeg" in way else own.ru_maxrss
    print(took, busy, peak / 1024)


def main(seconds: int) -> None:
    if not shutil.which("ffmpeg"):
        sys.exit("ffmpeg is not there (Debian: apt install ffmpeg)")
    with tempfile.TemporaryDirectory() as folder:
        clips = {"720p": Path(folder) / "small.mp4", "1080p": Path(folder) / "large.mp4"}
        for size, path in zip((SMALL, LARGE), clips.values(), strict=True):
            generate(path, size, seconds)
            print(f"{path.name}: {seconds} s, {path.stat().st_size / 1e6:.1f} MB")
        took: dict[str, list[list[float]]] = {way: [] for way in WAYS}
        for _ in range(ROUNDS):
            for way in WAYS:
                path = clips[way.partition(",")[0]]
                command = [sys.executable, __file__, "--one", way, str(path)]
                said = subprocess.run(command, check=True, capture_output=True, text=True).stdout
                took[way].append([float(word) for word in said.split()])
    print(f"{'':28}{'s':>8}{'processor s':>13}{'peak MB':>9}")
    for way, rounds in took.items():
        wall, cpu, peak = (statistics.median(column) for column in zip(*rounds, strict=True))
        print(f"{way:28}{wall:8.2f}{cpu:13.2f}{peak:9.0f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], Path(sys.argv[3]))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 30)
