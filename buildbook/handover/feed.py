"""The Atom feed of a book's sessions (RFC 4287), for whoever follows a build."""

import re
from collections.abc import Callable, Iterator
from datetime import date, datetime, time
from urllib.parse import quote, urlsplit
from xml.etree import ElementTree as ET

from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import SCHEME
from buildbook.pages.prose import first_sentence, plain_text
from buildbook.pages.words import say, speaking
from buildbook.records.session import Session

ATOM = "http://www.w3.org/2005/Atom"
NAME = "feed.xml"
"""Where it stands in the site."""
MOST = 50
"""Sessions in it: the latest."""
_NOON = time(12)
"""Stands for the time of a session that tells none."""
# Characters that XML 1.0 (2.2) does not allow, whatever is done to them.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_WITHIN = re.compile(r"</?(?:a|abbr|b|code|del|em|i|kbd|s|strong|sub|sup|u)\b[^>]*>")
"""Tags inside a line, which part no words."""
_LINK = re.compile(rf'(href|src)="{SCHEME}([^"#]*)')


def feed(context: Context, url_of: Callable[[str], str]) -> bytes:
    """Write the feed of a book that says its `address`; `url_of` gives a page's place below it.

    The same book gives the same bytes: nothing of it is the time it was made.
    """
    book = context.book
    address = _ending_in_slash(book.file.address or "")
    slugs = list(book.sessions)[::-1][:MOST]
    ET.register_namespace("", ATOM)
    root = ET.Element(f"{{{ATOM}}}feed")
    first = min((s.date for s in book.sessions.values()), default=date(1970, 1, 1))
    _text(root, "id", _tag(address, str(first.year), ""))
    _text(root, "title", book.file.title)
    with speaking(book.file.language):
        model = book.file.aircraft.model
        _text(root, "subtitle", say("Sessions of building a %(model)s", model=model))
    _link(root, "self", address + NAME, "application/atom+xml")
    _link(root, "alternate", address, "text/html")
    moments = [_updated(context, book.sessions[slug]) for slug in slugs]
    _text(root, "updated", max(moments, default=_moment(context, first, _NOON)).isoformat())
    author = ET.SubElement(root, f"{{{ATOM}}}author")
    _text(author, "name", context.person_link(book.file.builder).text)
    for slug, moment in zip(slugs, moments, strict=True):
        root.append(_entry(context, slug, moment, address, url_of))
    ET.indent(root, " ")
    written: bytes = ET.tostring(root, "utf-8", xml_declaration=True)
    return written + b"\n"


def _entry(
    context: Context, slug: str, moment: datetime, address: str, url_of: Callable[[str], str]
) -> ET.Element:
    session = context.book.sessions[slug]
    path = paths.session(slug)
    entry = ET.Element(f"{{{ATOM}}}entry")
    _text(entry, "id", _tag(address, str(session.date), path))
    _text(entry, "title", context.session_title(session))
    _link(entry, "alternate", address + url_of(path), "text/html")
    _text(entry, "published", _began(context, session).isoformat())
    _text(entry, "updated", moment.isoformat())
    for name in dict.fromkeys(w for s in context.ledger.stints_of_session[slug] for w in s.who):
        author = ET.SubElement(entry, f"{{{ATOM}}}author")
        _text(author, "name", context.person_link(name).text)
    notes = "\n".join(_notes(context, session))
    if notes:
        _text(entry, "summary", first_sentence(plain_text(_WITHIN.sub("", notes))))
        absolute = _LINK.sub(lambda m: f'{m[1]}="{address}{url_of(m[2])}', notes)
        _text(entry, "content", absolute, type="html")
    return entry


def _notes(context: Context, session: Session) -> Iterator[str]:
    texts = [session.notes, *(work.notes for work in session.work), session.next]
    yield from (str(context.prose.html(text)) for text in texts if text)


def _text(parent: ET.Element, name: str, text: str, **attributes: str) -> None:
    ET.SubElement(parent, f"{{{ATOM}}}{name}", attributes).text = _NOT_XML.sub("", text)


def _link(parent: ET.Element, rel: str, href: str, kind: str) -> None:
    ET.SubElement(parent, f"{{{ATOM}}}link", {"rel": rel, "type": kind, "href": href})


def _tag(address: str, day: str, path: str) -> str:
    """Make an identifier that stays the same wherever the book moves (RFC 4151)."""
    parts = urlsplit(address)
    return f"tag:{(parts.hostname or '').lower()},{day}:{quote(parts.path + path)}"


def _ending_in_slash(address: str) -> str:
    return address if address.endswith("/") else f"{address}/"


def _began(context: Context, session: Session) -> datetime:
    start = session.start or next((w.start for w in session.work if w.start), None)
    return _moment(context, session.date, time(start.hour, start.minute) if start else _NOON)


def _updated(context: Context, session: Session) -> datetime:
    amended = [_moment(context, one.date, _NOON) for one in session.amendments]
    return max([_began(context, session), *amended])


def _moment(context: Context, day: date, clock: time) -> datetime:
    return datetime.combine(day, clock, context.book.zone)
