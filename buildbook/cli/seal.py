"""`buildbook seal` and `buildbook verify`: whether records are still what they were."""

import sys
from pathlib import Path

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.files import write_new
from buildbook.cli.words import many
from buildbook.handover.archive import archives_in, verify_archive
from buildbook.handover.seal import Differences, NoSealError, Seal, compare, make, read_seal
from buildbook.handover.signature import ENDING, CannotSignError, sign, signed_by
from buildbook.printable import printable


@click.command()
@click.option(
    "--to",
    default="seal.txt",
    show_default=True,
    type=click.Path(path_type=Path),
    help="The file to write.",
)
@click.option(
    "--key", type=click.Path(path_type=Path), help="Sign it with this SSH key, into FILE.sig."
)
@click.option("--force", is_flag=True, help="Overwrite the file when it is there already.")
@content_option
def seal(*, to: Path, key: Path | None, force: bool, content: Path) -> None:
    """Write down the SHA-256 of every record and picture, in a small text file.

    Keep it where nobody can change it unseen: print it, post it, give it to the inspector. Its last
    line alone is enough to tell later, with `buildbook verify`, whether anything was changed.
    """
    reading = read_book(content)
    if to.resolve().is_relative_to(reading.book.folder.resolve()):
        raise CannotRunError(f"{to} is among the records, which it is to seal; name another place")
    beside = to.with_name(to.name + ENDING)
    for path in (to, *([beside] if key else [])):
        if path.exists() and not force:
            raise CannotRunError(f"{path} is there already; add --force to overwrite it")
    try:
        made = make(reading)
        signature = sign(made, key) if key else None
    except OSError as error:
        raise CannotRunError(f"{error.filename} cannot be read: {error.strerror}") from None
    except CannotSignError as error:
        raise CannotRunError(str(error)) from None
    write_new(to, made, force=force)
    found = read_seal(made)
    click.echo(f"{to}: {many(len(found.files), 'file')} in {many(len(found.parts), 'part')}")
    click.echo(f"seal {found.digest}")
    if signature:
        write_new(beside, signature, force=force)
        click.echo(f"{beside}: signed with {signed_by(made, beside)}")
    elif beside.exists():
        click.echo(f"{beside} is a signature of the file that was here before", err=True)
    if reading.errors:
        click.echo(
            f"the records have {many(len(reading.errors), 'error')}; they are sealed as they are",
            err=True,
        )


@click.command()
@click.argument(
    "file", metavar="[SEAL|ARCHIVE]", default="seal.txt", type=click.Path(path_type=Path)
)
@click.option(
    "--seal", "digest", metavar="DIGEST", help="The last line as it was printed or posted."
)
@content_option
def verify(*, file: Path, digest: str | None, content: Path) -> None:
    """Say what was changed, added and taken away since SEAL was made (`seal.txt` if left out).

    Of an ARCHIVE, a folder or a ZIP file, it says whether all in it is as it was made. The folder
    of a hand-over will do too.

    Exit status: 0 when all that was sealed is as it was, 1 when something is not or the seal itself
    was edited, 2 when it cannot be told.
    """
    if archives_in(file):
        sys.exit(_of_archive(file))
    if file.is_dir():
        raise CannotRunError(f"{file} is a folder without an archive in it")
    try:
        raw = file.read_bytes()
        found = read_seal(raw)
    except OSError as error:
        raise CannotRunError(f"{file} cannot be read: {error.strerror}") from None
    except NoSealError as error:
        raise CannotRunError(f"{file} is not a seal: {error}") from None
    reading = read_book(content)
    try:
        differences = compare(found, reading)
    except OSError as error:
        raise CannotRunError(f"{error.filename} cannot be read: {error.strerror}") from None
    is_sound = _of_seal(file, raw, found, digest)
    _of_records(differences)
    sys.exit(0 if is_sound and not differences.any_sealed else 1)


def _of_archive(path: Path) -> int:
    """Say what is wrong with an archive, and give the exit status."""
    bags = len(archives_in(path))
    faults = verify_archive(path)
    for fault in faults:
        click.echo(fault)
    several = f", {bags} parts" if bags > 1 else ""
    said = f"is not as it was made: {many(len(faults), 'fault')}" if faults else "is whole"
    click.echo(f"{path} {said}{several}")
    return 1 if faults else 0


def _of_seal(file: Path, raw: bytes, found: Seal, digest: str | None) -> bool:
    """Say what is to be said of the seal itself, and tell whether it is sound."""
    faults = list(found.faults)
    if digest is not None:
        wanted = digest.casefold().removeprefix("# ").removeprefix("seal").strip()
        if wanted != found.digest:
            faults.append("its last line is another than the one given with --seal")
    signature = file.with_name(file.name + ENDING)
    signer = ""
    if signature.is_file():
        try:
            signer = signed_by(raw, signature)
        except CannotSignError as error:
            faults.append(str(error))
    for fault in faults:
        click.echo(f"{file} is not to be trusted: {fault}")
    if not faults:
        click.echo(f"{file} is whole: seal {found.digest}")
        if signer:
            click.echo(f"signed with {signer}; ask the signer whether that is their key")
        if digest is None and not signer:
            click.echo(
                "whether it is the seal that was made, its printed or posted last line tells "
                "(--seal)"
            )
    return not faults


def _of_records(found: Differences) -> None:
    for name, records in found.changed:
        click.echo(f"changed: {_shown(name)}")
        for said in records:
            click.echo(f"  {said}")
    for name in found.removed:
        click.echo(f"gone: {_shown(name)}")
    for old, new in found.moved:
        click.echo(f"renamed: {_shown(old)} is now {_shown(new)}, and says the same")
    for name in found.added:
        click.echo(f"came since: {_shown(name)}")
    counts = [
        f"{many(found.same, 'file')} as sealed",
        f"{len(found.changed)} changed",
        f"{len(found.removed)} gone",
        f"{len(found.moved)} renamed",
        f"{len(found.added)} came since",
    ]
    click.echo(", ".join(counts))


def _shown(name: str) -> str:
    return printable(name.encode("utf-8", "replace").decode(), "?")
