"""`buildbook import sessions`: a build that was written down elsewhere, moved into the book."""

import sys
from collections.abc import Iterable
from pathlib import Path

import click

from buildbook.cli.book import content_option, read_book
from buildbook.cli.errors import CannotRunError
from buildbook.cli.report import one_finding
from buildbook.cli.saving import save_draft, show
from buildbook.incoming.brought import Brought
from buildbook.incoming.datednotes import ENDINGS, entries_of, note_files
from buildbook.incoming.entries import Entry
from buildbook.incoming.movein import Plan, draft_name, plan, text_of
from buildbook.incoming.sessionlist import (
    Columns,
    entries_in,
    find_columns,
    parse_map,
)
from buildbook.incoming.sessionwords import SessionWords
from buildbook.incoming.table import SEPARATORS, NoTableError, read_table
from buildbook.incoming.values import DayOrder
from buildbook.printable import printable
from buildbook.records.book import Book
from buildbook.records.names import slugify
from buildbook.records.problems import did_you_mean
from buildbook.records.read import Reading
from buildbook.writing.draft import Trial, keep_draft, private_folder

_MOST_NAMED = 5


@click.command()
@click.argument("source", type=click.Path(path_type=Path))
@click.option(
    "--map",
    "wanted",
    metavar="HEADING=FIELD",
    multiple=True,
    help="What a column holds, as `Datum=date`; with nothing behind `=` it is left out.",
)
@click.option(
    "--dates",
    type=click.Choice([DayOrder.DAY_FIRST.value, DayOrder.MONTH_FIRST.value]),
    help="How dates of numbers are written that do not begin with the year.",
)
@click.option("--step", metavar="STEP", help="The step of all that name none.")
@click.option(
    "--read-as",
    metavar="WORDS=NAME",
    multiple=True,
    help="What stands for a step, person, part or operation, as `Fin ribs=fin/skeleton`.",
)
@click.option(
    "--no-header", is_flag=True, help="The first row is a session; map columns by number."
)
@click.option("--write", is_flag=True, help="Write the sessions.")
@content_option
def sessions(
    *,
    source: Path,
    wanted: tuple[str, ...],
    dates: str | None,
    step: str | None,
    read_as: tuple[str, ...],
    no_header: bool,
    write: bool,
    content: Path,
) -> None:
    """Move sessions in that were written elsewhere: a CSV file, or a folder of dated notes.

    Without --write nothing is written: every session is shown as its file would be. Nothing that
    is there is ever changed, and what was brought in before is left out. What is not understood is
    told with its line, and its words stay in the notes; what lacks its date, step or hours is kept
    as a draft beside the records.

    Exit status: 0 when all was understood, 1 when something was not, 2 when it cannot be read.
    """
    reading = read_book(content)
    book = reading.book
    if step is not None and step not in book.steps:
        advice = did_you_mean(step, book.steps, name="steps")
        raise CannotRunError(f"there is no step `{step}`{f'; {advice}' if advice else ''}")
    order = DayOrder(dates) if dates else DayOrder.UNKNOWN
    try:
        mapped = parse_map(wanted)
    except NoTableError as error:
        raise CannotRunError(str(error)) from None
    if source.is_dir() or source.suffix.lower() in (".md", ".markdown"):
        entries = _notes(source, book, order, mapped)
    else:
        entries = _rows(source, mapped, header=not no_header)
    words = SessionWords(book, order, step or "", _names(read_as))
    found = plan(reading, entries, words)
    _report(found, reading)
    if write:
        _write(found, reading, source)
    else:
        _would(found, reading)
    sys.exit(1 if found.drafts or found.unfit or any(b.findings for b in found.new) else 0)


def _names(read_as: Iterable[str]) -> dict[str, str]:
    found = {}
    for one in read_as:
        words, equals, name = one.rpartition("=")
        if not (equals and words.strip() and name.strip()):
            raise CannotRunError(f"--read-as {one}: write the words and the name, as `Sam=samuel`")
        found[words.strip()] = name.strip()
    return found


def _rows(file: Path, wanted: dict[str, str], *, header: bool) -> list[Entry]:
    """Read a table, and show which column is what."""
    try:
        table = read_table(file.read_bytes())
        columns = find_columns(table, wanted, header=header)
    except OSError as error:
        raise CannotRunError(f"{file} cannot be read: {error.strerror}") from None
    except NoTableError as error:
        raise CannotRunError(f"{file} cannot be read as a list: {error}") from None
    count = len(table.rows) - columns.first
    doubt = ", which is a guess: look at letters with accents" if table.is_guess else ""
    parted = SEPARATORS.get(table.separator, f"`{table.separator}`")
    click.echo(
        f"{file}: {_many(count, 'row')}; {table.encoding}{doubt}; columns parted by {parted}"
    )
    for line in _mapping(columns):
        click.echo(f"  {line}")
    return entries_in(table, columns, str(file))


def _mapping(columns: Columns) -> Iterable[str]:
    pairs = list(zip(columns.headings, columns.fields, strict=True))
    yield from (f"{field}: column `{printable(heading)}`" for heading, field in pairs if field)
    kept = [f"`{printable(heading)}`" for heading, field in pairs if field is None and heading]
    out = [f"`{printable(heading)}`" for heading, field in pairs if field == ""]
    if kept:
        yield f"kept in the notes: {', '.join(kept)}; --map can say more"
    if out:
        yield f"left out: {', '.join(out)}"


def _notes(source: Path, book: Book, order: DayOrder, wanted: dict[str, str]) -> list[Entry]:
    """Read dated notes, and say which files are none."""
    try:
        files, others = note_files(source) if source.is_dir() else ([source], [])
        found = []
        for file in files:
            shown = file.relative_to(source) if source.is_dir() else file
            try:
                found += entries_of(file.read_bytes(), str(file), book.zone, order, wanted)
            except NoTableError as error:
                raise CannotRunError(f"{shown} cannot be read as a note: {error}") from None
    except OSError as error:
        raise CannotRunError(f"{source} cannot be read: {error.strerror}") from None
    if not files:
        raise CannotRunError(f"there are no notes in {source}; their names end in {_endings()}")
    click.echo(f"{source}: {_many(len(files), 'file')}, {_many(len(found), 'note')}")
    if others:
        named = ", ".join(printable(path.name) for path in others[:_MOST_NAMED])
        more = f" and {len(others) - _MOST_NAMED} more" if len(others) > _MOST_NAMED else ""
        click.echo(f"  not read: {named}{more}; pictures come in with `buildbook photos add`")
    return found


def _endings() -> str:
    return ", ".join(sorted(ENDINGS))


def _report(found: Plan, reading: Reading) -> None:
    """Show what would become of each entry."""
    for brought in found.new:
        raw = text_of(brought, brought.file).encode()
        show(Trial(brought.file, raw, reading, ()), reading.book.folder)
    for brought in sorted(found.drafts, key=lambda b: (b.entry.file, b.entry.line)):
        click.echo(f"\n{_at(brought.entry)}: no session yet:\n")
        for line in text_of(brought, "sessions/draft.yml").splitlines()[1:]:
            click.echo(f"  {line}".rstrip())
    told = [f for b in (*found.new, *found.drafts, *found.unfit) for f in b.findings]
    if told:
        click.echo("\nNot understood:\n")
        for finding in sorted(told, key=lambda f: (f.file, f.line, f.column)):
            click.echo(one_finding(finding, Path()), nl=False)
    if found.known:
        click.echo("\nBrought in before, and left out:")
        for entry, file in found.known:
            click.echo(f"  {_at(entry)}: {_near(Path(file))}")
    if found.twice:
        click.echo("\nMore than once, and left out:")
        for entry, first in found.twice:
            click.echo(f"  {_at(entry)}: it says the same as {_at(first)}")
    click.echo()


def _would(found: Plan, reading: Reading) -> None:
    if not found.new and not found.drafts:
        click.echo("nothing to bring in")
        return
    drafts = private_folder(reading.book.folder) / "drafts"
    said = f"nothing is written; --write writes {_many(len(found.new), 'session')}"
    if found.drafts:
        said += f", and keeps {_many(len(found.drafts), 'draft')} in {_near(drafts)}"
    click.echo(said)


def _write(found: Plan, reading: Reading, source: Path) -> None:
    """Write sessions and drafts, one whole file after the other."""
    folder, done, kept = reading.book.folder, 0, []
    slug = slugify(source.stem)
    try:
        for brought in found.new:
            raw = text_of(brought, brought.file).encode()
            save_draft(Trial(brought.file, raw, reading, ()), folder)
            done += 1
        for brought in found.drafts:
            raw = text_of(brought, "sessions/draft.yml").encode()
            kept.append(_keep(brought, folder, slug, raw))
    except KeyboardInterrupt:
        click.echo(
            f"{done} of {_many(len(found.new), 'session')} are written; run it again to go on"
        )
        raise
    for file in found.settled:
        click.echo(f"no longer needed: the draft {_near(Path(file))}; you may delete it")
    for path in kept:
        click.echo(
            f"kept as a draft: {_near(path)}; write what it lacks into it, then "
            f"`buildbook write --from {_near(path)}`"
        )
    if not done and not kept:
        click.echo("nothing to bring in")
    elif done:
        click.echo(f"{_many(done, 'session')} written; next, `buildbook check`")


def _keep(brought: Brought, folder: Path, slug: str, raw: bytes) -> Path:
    name = Path(brought.entry.file).stem
    try:
        return keep_draft(folder, draft_name(brought, slugify(name) or slug), raw)
    except OSError as error:
        raise CannotRunError(f"cannot keep a draft: {error.strerror}") from None


def _near(path: Path) -> str:
    """Name a path from where the command is run, when it is below."""
    here = Path.cwd()
    return (path.relative_to(here) if path.is_relative_to(here) else path).as_posix()


def _at(entry: Entry) -> str:
    return f"{printable(Path(entry.file).as_posix())}:{entry.line}"


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"
