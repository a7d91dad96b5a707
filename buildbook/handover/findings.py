"""What the chapters of the printed book hold: what was found, learned, used, and adds up."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, partial
from itertools import groupby
from typing import Any

from buildbook.handover.entries import LETTERS, Entry, cited, own_fields, shots_there
from buildbook.handover.nodes import plain
from buildbook.ledger.ahead import in_runs
from buildbook.ledger.links import Shot
from buildbook.ledger.readings import Characteristic
from buildbook.pages import paths
from buildbook.pages.asbuilt import as_built_page, assembly_page
from buildbook.pages.balance import balance_page
from buildbook.pages.characteristics import CharacteristicView, characteristic_page
from buildbook.pages.context import Context
from buildbook.pages.evidence import evidence_page
from buildbook.pages.lots import lot_page
from buildbook.pages.notices import notices_page
from buildbook.pages.squawks import squawk_page
from buildbook.pages.tools import tool_lines
from buildbook.pages.written import written_page
from buildbook.reference.hazards import hazards_of

MOST_ROWS = 200
"""Readings that stand in one entry: what is measured a thousand times must fit into volumes."""

# What was found, learned and measured.


def squawks(context: Context) -> Iterator[Entry]:
    """Yield every squawk, those that are not closed first."""
    links, book = context.ledger.links, context.book
    for number in sorted(book.squawks, key=lambda n: (bool(book.squawks[n].closed), n)):
        squawk = book.squawks[number]
        files = (squawk.photo, squawk.closed.photo if squawk.closed else None)
        own = [f for f in files if f and f in book.photo_files and f not in links.shot_of_file]
        group = "Closed" if squawk.closed else "Not closed"
        yield Entry(
            "squawk",
            partial(_squawk, context, number),
            (paths.squawk(number),),
            (),
            tuple(own),
            0.3 + len(squawk.text or "") / LETTERS + len(own) * 0.2,
            group,
        )


def _squawk(context: Context, number: int) -> dict[str, Any]:
    view = squawk_page(context, number).view
    of_sessions = context.ledger.links.shot_of_file
    return {
        **own_fields(view, "figures"),
        "number": number,
        "figures": [own_fields(f) for f in view.figures if f.file not in of_sessions],
        "photos": [
            cited(context, of_sessions[f.file]) for f in view.figures if f.file in of_sessions
        ],
    }


def lessons(context: Context) -> Iterator[Entry]:
    """Yield every lesson."""
    for number in sorted(context.book.lessons):
        letters = len(context.book.lessons[number].text or "")
        yield Entry(
            "lesson",
            partial(_lesson, context, number),
            (paths.lesson(number),),
            pages=0.12 + letters / LETTERS,
        )


def _lesson(context: Context, number: int) -> Any:
    return own_fields(context.lesson(number))


def readings(context: Context) -> Iterator[Entry]:
    """Yield everything that was measured, by what was measured; much of one kind in several."""
    for one in context.ledger.readings.characteristics:
        view = cache(partial(_characteristic, context, one))
        for start in range(0, len(one.rows), MOST_ROWS):
            rows = min(MOST_ROWS, len(one.rows) - start)
            yield Entry(
                "characteristic",
                partial(_rows, view, start),
                (paths.reading(one.slug),) if start == 0 else (),
                pages=0.15 + rows / 25,
            )


def _characteristic(context: Context, one: Characteristic) -> CharacteristicView:
    view = characteristic_page(context, one).view
    assert isinstance(view, CharacteristicView)
    return view


def _rows(view: Callable[[], CharacteristicView], start: int) -> dict[str, Any]:
    """Give the readings from one on, as many as stand in one entry."""
    whole = view()
    runs, at = [], 0
    for run in whole.runs:
        first, last = max(start - at, 0), min(start + MOST_ROWS - at, len(run.rows))
        at += len(run.rows)
        if first < last:
            part = own_fields(replace(run, rows=run.rows[first:last]))
            again = {"heading": f"{run.heading} (continued)", "sources": [], "facts": []}
            runs.append({**part, **again} if first else part)
    return {"title": whole.title, "lead": whole.lead, "first": start == 0, "runs": runs}


# What it is made of and with.


def lots(context: Context) -> Iterator[Entry]:
    """Yield every batch, and what was made with it."""
    for name, lot in context.book.lots.items():
        own = lot.photo in context.book.photo_files
        yield Entry(
            "lot",
            partial(_lot, context, name),
            (paths.lot(name),),
            photos=(lot.photo,) if own and lot.photo else (),
            pages=0.2,
        )


def _lot(context: Context, name: str) -> dict[str, Any]:
    view = lot_page(context, name, context.book.lots[name]).view
    made = [
        (plain(line.part), plain(", ".join(in_runs(piece.text for piece in line.pieces))))
        for line in view.made
    ]
    return {**own_fields(view, "uses", "made"), "made": made}


def tools(context: Context) -> Iterator[Entry]:
    """Yield the tools with their calibrations."""
    if context.book.tools:
        anchors = tuple(f"{paths.STORES}#tool-{name}" for name in context.book.tools)
        count = len(anchors)
        yield Entry(
            "tools",
            lambda: [own_fields(line, "sessions") for line in tool_lines(context)],
            inside=anchors,
            pages=0.2 + count / 15,
        )


def notices(context: Context) -> Iterator[Entry]:
    """Yield every notice."""
    book = context.book
    if book.notices:
        anchors = tuple(paths.notice(number) for number in book.notices)
        make = partial(_notices, context)
        yield Entry("notices", make, (paths.NOTICES,), anchors, pages=len(book.notices) / 5)


def _notices(context: Context) -> Any:
    return own_fields(notices_page(context).view)


def hazards(context: Context) -> Iterator[Entry]:
    """Yield what can hurt in the operations of this book, and the usual protection."""
    operations = context.book.operations.values()
    named = hazards_of(hazard for operation in operations for hazard in operation.hazards)
    if named:
        anchors = tuple(f"{paths.REFERENCE}#{hazard.anchor}" for hazard in named)
        yield Entry(
            "hazards",
            lambda: [
                {
                    "title": hazard.title,
                    "sentences": list(hazard.sentences),
                    "anchor": f"{paths.REFERENCE}#{hazard.anchor}",
                }
                for hazard in named
            ],
            inside=anchors,
            pages=0.2 + len(named) / 6,
        )


# What the account, the scales and the finished aircraft say.


def evidence(context: Context) -> Iterator[Entry]:
    """Yield the account of who did which tasks."""
    if context.book.tasks:
        tasks = tuple(f"{paths.EVIDENCE}#task-{name}" for name in context.book.tasks)
        make = partial(_evidence, context)
        yield Entry("evidence", make, (paths.EVIDENCE,), tasks, pages=2 + len(tasks) / 10)


def _evidence(context: Context) -> Any:
    return own_fields(evidence_page(context).view)


def written(context: Context) -> Iterator[Entry]:
    """Yield when each session was written down, if the version history is to tell."""
    if context.past is None:
        return
    view = written_page(context).view
    head = {"silent": plain(view.silent), "lead": plain(view.lead)}
    yield Entry("written", lambda: head, (paths.WRITTEN,), pages=0.3)
    for year, lines in groupby(view.lines, lambda line: line.work.year):
        some = list(lines)
        yield Entry(
            "written_rows",
            partial(plain, some),
            pages=len(some) / 40,
            group=str(year),
            cells=5 * len(some),
        )


def balance(context: Context) -> Iterator[Entry]:
    """Yield weight and balance."""
    if context.book.weighings or context.book.balance:
        make = partial(_balance, context)
        yield Entry("balance", make, (paths.BALANCE,), pages=4)


def _balance(context: Context) -> dict[str, Any]:
    view = balance_page(context).view
    chart = view.chart
    if not chart:
        return {**own_fields(view), "chart": None}
    drawn = str(chart.svg).replace(">", f"><style>{_INK}</style>", 1)
    return {
        **own_fields(view),
        "chart": {"svg": drawn, "caption": chart.caption, "summary": chart.summary},
    }


_INK = (
    "text{font-family:'Atkinson Hyperlegible Next';font-size:11px}"
    ".guide{stroke:#999;stroke-width:.7;fill:none}"
    ".bb-limits{fill:#ececec;stroke:#000;stroke-width:1.5}"
    ".bb-burn{fill:none;stroke:#000;stroke-width:1;stroke-dasharray:2 4}"
    ".bb-spot circle,.bb-spot rect{fill:#000;stroke:#000;stroke-width:1.5}"
    ".bb-dry circle,.bb-dry rect{fill:#fff}"
    ".bb-spot text{text-anchor:middle;font-weight:700;fill:#fff}"
    ".bb-dry text{fill:#000}"
)
"""How the limits are drawn: filled with fuel, hollow without; round inside, square outside."""


def as_built(context: Context) -> Iterator[Entry]:
    """Yield the aircraft as it was built, and after it every assembly."""
    book = context.book
    if not book.sections:
        return
    items = tuple(f"{paths.AS_BUILT}#equipment-{name}" for name in book.equipment)
    yield Entry(
        "as_built",
        lambda: own_fields(as_built_page(context).view),
        (paths.AS_BUILT,),
        items,
        pages=2,
    )
    for name in book.sections:
        make = partial(_assembly, context, name)
        shots = shots_there(context, context.ledger.as_built[name].hidden)
        photos = tuple(shot.photo.file for shot in shots)
        pages = 1.5 + len(photos) / 12
        yield Entry("assembly", make, (paths.as_built(name),), photos=photos, pages=pages)


def _assembly(context: Context, name: str) -> dict[str, Any]:
    view = assembly_page(context, name).view
    shots = context.ledger.links.shot_of_file
    return {
        **own_fields(view, "hidden", "next"),
        "hidden": [_small(context, shots[f.file]) for f in view.hidden if f.file in shots],
    }


def at_work(context: Context) -> Iterator[Entry]:
    """Yield the photos of everybody who is seen at work, small."""
    for name, person in context.book.people.items():
        shots = shots_there(context, context.ledger.links.of("people", name).shots)
        seen = [shot for shot in shots if name in shot.photo.who]
        if seen:
            yield Entry(
                "at_work",
                partial(_at_work, context, name, seen),
                photos=tuple(shot.photo.file for shot in seen),
                pages=0.2 + len(seen) / 20,
                group=person.name,
            )


def _at_work(context: Context, name: str, shots: list[Shot]) -> dict[str, Any]:
    return {
        "name": plain(context.person_link(name)),
        "photos": [_small(context, shot) for shot in shots],
    }


def _small(context: Context, shot: Shot) -> dict[str, Any]:
    return {**cited(context, shot), "file": shot.photo.file}
