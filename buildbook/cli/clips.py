"""`buildbook clips`: short films made from long ones, or from many stills."""

import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from buildbook.cli.errors import CannotRunError
from buildbook.files import PARTIAL, give_name
from buildbook.media.problems import BadPictureError

if TYPE_CHECKING:
    from buildbook.media.reels import Reel

_MOST_SECONDS = 600.0
_MOST_EDGE = 1920  # pixels
_source = click.Path(exists=True, path_type=Path)


def _film_options(command: Callable[..., None]) -> Callable[..., None]:
    for option in (
        click.option(
            "--to",
            "target",
            required=True,
            metavar="OUT.mp4",
            type=click.Path(path_type=Path, dir_okay=False),
            help="The film to write; never over another one.",
        ),
        click.option(
            "--size",
            "edge",
            default=1280,
            show_default=True,
            type=click.IntRange(160, _MOST_EDGE),
            help="Its longest side, in pixels.",
        ),
    ):
        command = option(command)
    return command


@click.group("clips")
def clips() -> None:
    """Make short films from long ones, or from many stills."""


@clips.command("time-lapse")
@click.argument("source", type=_source, metavar="FOLDER|CLIP")
@click.option("--seconds", type=click.FloatRange(0.2, _MOST_SECONDS), help="How long it lasts.")
@click.option(
    "--speed",
    type=click.FloatRange(min=0.0, min_open=True),
    help="Times as fast as it was filmed (60); of stills, how many go by in a second (8).",
)
@_film_options
def lapse(
    source: Path, seconds: float | None, speed: float | None, target: Path, edge: int
) -> None:
    """Make hours of work pass in a minute.

    FOLDER holds stills, shown in the order they were taken; or name one CLIP. Stills of another
    shape than most are shown whole, on a dark ground. The film has no sound and no metadata.
    """
    from buildbook.media.timelapse import lasting, time_lapse  # noqa: PLC0415 - a large library

    if seconds is not None and speed is not None:
        raise CannotRunError("--seconds and --speed say the same thing: give one of them")
    _may_write(target)
    reel = _open(source)
    lasts = lasting(reel, seconds=seconds, speed=speed)
    if lasts > _MOST_SECONDS:
        raise CannotRunError(
            f"the film would last {lasts / 60:.0f} minutes, when {_MOST_SECONDS / 60:.0f} are the "
            "most: give --seconds, or a higher --speed"
        )
    with _writing(target) as part, _bar(f"making {target.name}") as progress:
        size = time_lapse(reel, part, seconds=lasts, edge=edge, progress=progress)
    _tell_skipped(reel)
    pace = reel.seconds / lasts
    shown = (
        f"{pace:.3g} stills a second" if reel.unit == "pictures" else f"{pace:.3g} times as fast"
    )
    click.echo(f"{target}: {lasts:.3g} s, {size[0]} x {size[1]} pixels, {shown}")


@clips.command()
@click.argument("sources", type=_source, nargs=-1, required=True, metavar="CLIP...")
@click.option(
    "--seconds",
    default=120.0,
    show_default=True,
    type=click.FloatRange(0.2, _MOST_SECONDS),
    help="How long it lasts.",
)
@click.option("--columns", type=click.IntRange(1, 16), help="How many stand side by side.")
@click.option(
    "--same-speed", is_flag=True, help="All run as fast as the longest; others end before."
)
@_film_options
def montage(
    sources: tuple[Path, ...],
    seconds: float,
    columns: int | None,
    same_speed: bool,
    target: Path,
    edge: int,
) -> None:
    """Show several clips of one operation side by side, so that hours become two minutes.

    Below each stands the day it was recorded and how much faster it runs. A folder of stills may
    stand in place of a clip. The film has no sound and no metadata.
    """
    from buildbook.media import montage as making  # noqa: PLC0415 - loads a large library

    if len(sources) > making.MOST:
        raise CannotRunError(
            f"{len(sources)} clips are too many for one film: {making.MOST} at most"
        )
    _may_write(target)
    reels = [_open(source) for source in sources]
    if same_speed and len({reel.unit for reel in reels}) > 1:
        raise CannotRunError("stills have no speed of their own: leave --same-speed out")
    zone = _zone()
    longest = max(reel.seconds for reel in reels)
    captions = [_caption(r, zone, (longest if same_speed else r.seconds) / seconds) for r in reels]
    with _writing(target) as part, _bar(f"making {target.name}") as progress:
        size = making.montage(
            reels,
            captions,
            part,
            seconds=seconds,
            edge=edge,
            columns=columns,
            same_speed=same_speed,
            progress=progress,
        )
    for reel in reels:
        _tell_skipped(reel)
    click.echo(f"{target}: {len(reels)} clips, {seconds:.3g} s, {size[0]} x {size[1]} pixels")


def _caption(reel: "Reel", zone: tzinfo, pace: float) -> str:
    day = reel.day(zone)
    fast = (
        f"{pace:.3g} a second" if reel.unit == "pictures" else f"\N{MULTIPLICATION SIGN}{pace:.3g}"
    )
    return f"{day or reel.name}  {fast}"


def _open(source: Path) -> "Reel":
    from buildbook.media.reels import open_reel  # noqa: PLC0415 - loads a large library

    try:
        reel = open_reel(source)
    except BadPictureError as problem:
        raise CannotRunError(f"{source} {problem.wrong}; {problem.advice}") from None
    except OSError as error:
        raise CannotRunError(f"{source} cannot be read: {error.strerror or error}") from None
    _tell_skipped(reel)
    return reel


def _tell_skipped(reel: "Reel") -> None:
    """Name the stills that cannot be used, each once."""
    skipped = getattr(reel, "skipped", [])
    for name, wrong in skipped:
        click.echo(f"{name} {wrong}, and is left out", err=True)
    skipped.clear()


def _zone() -> tzinfo:
    """Give the book's time zone where there is a book, else this computer's."""
    from buildbook.records.read import CannotReadError, read  # noqa: PLC0415

    for folder in (Path("content"), Path()):
        with suppress(CannotReadError, OSError):
            return read(folder).book.zone
    here = datetime.now().astimezone().tzinfo
    assert here is not None  # astimezone has given it one
    return here


def _may_write(target: Path) -> None:
    """Say before hours of work that its result could not be written."""
    if target.suffix.lower() != ".mp4":
        raise CannotRunError(f"{target} must end in .mp4: that is what is written")
    if target.exists():
        raise CannotRunError(f"{target} is there already; name another file")
    if not target.parent.is_dir():
        raise CannotRunError(f"cannot write into {target.parent}: there is no such folder")


@contextmanager
def _writing(target: Path) -> Iterator[Path]:
    """Give a file to write beside the target, which gets its name when it is whole."""
    try:
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=f".{target.stem}.") as folder:
            part = Path(folder) / f"film{PARTIAL}"
            yield part
            part.chmod(0o644)
            give_name(part, target)
    except BadPictureError as problem:
        raise CannotRunError(f"{target} is not written: a source {problem.wrong}") from None
    except FileExistsError:
        raise CannotRunError(f"{target} is there already; name another file") from None
    except OSError as error:
        raise CannotRunError(f"cannot write {target}: {error.strerror or error}") from None


@contextmanager
def _bar(words: str) -> Iterator[Callable[[int, int], None] | None]:
    """Show how far it is, where there is a terminal to show it on."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console  # noqa: PLC0415 - slow to load
    from rich.progress import Progress  # noqa: PLC0415

    with Progress(console=Console(stderr=True)) as shown:
        task: Any = shown.add_task(words, total=None)
        yield lambda done, of: shown.update(task, completed=done, total=of)
