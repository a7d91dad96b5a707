"""Times of a session of which something is private: what is left keeps the time it took."""

from collections.abc import Sequence
from typing import Any

from buildbook.ledger.time import work_minutes
from buildbook.records.book import Book
from buildbook.records.session import Session, Work

_TIMES = frozenset(("hours", "from", "to", "break"))
_NONE = {"hours": None, "start": None, "end": None, "pause": 0}


def hides_times(session: Session) -> bool:
    """Tell whether some of a session's times are marked private."""
    return any(_TIMES & {*work.private_names} for work in (session, *session.work))


def times_kept(
    book: Book, session: Session, works: Sequence[Work | None], *, private: bool
) -> dict[str, Any]:
    """Return the fields of a session that give each piece of work its own minutes.

    Times that several pieces of work shared are gone then, so that nothing follows from them about
    what is left out. `works` are the pieces of work as they are cut, None for one that is left
    out; with `private` what is marked so is not said.
    """
    minutes = work_minutes(book, session)
    untold = private and "hours" in session.private_names
    if not session.work:
        return {**_NONE, "hours": None if untold else minutes[0] or None}
    left = []
    for work, kept, took in zip(session.work, works, minutes, strict=True):
        if kept is None:
            continue
        hidden = _TIMES & {*work.private_names} if private else _TIMES - _TIMES
        own = work.hours is not None or work.start is not None
        silent = "hours" in hidden or (untold and not own)
        update = {**_NONE} if hidden or silent else {}
        update["hours"] = None if silent else took or None
        left.append(kept.model_copy(update=update))
        left[-1].__dict__.pop("references", None)
    return {**_NONE, "work": tuple(left)}
