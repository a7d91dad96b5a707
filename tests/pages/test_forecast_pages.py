"""The pace and forecast pages as a reader finds them."""

from datetime import date, timedelta

import pytest
from parsed import article
from sites import BASE

from buildbook.ledger.ledger import derive
from buildbook.pages.context import Context
from buildbook.pages.forecast import about
from buildbook.pages.layout import lay_out
from buildbook.pages.pace import per_piece_words
from buildbook.pages.words import show_date
from buildbook.records.read import read

ROUTE = BASE["parts.yml"] + "  route: deburr\n"


def sessions(count):
    """A session a week, half of the ribs one by one at 60, 48, 42 and 38 minutes, then the spar."""
    files = {}
    for n in range(count):
        day = date(2025, 1, 4) + timedelta(weeks=n)
        pieces = f"parts: FN-02-L\npieces: {n + 1:02}" if n < 4 else "parts: FN-01"
        minutes = (60, 48, 42, 38)[n] if n < 4 else 45
        files[f"sessions/{day}.yml"] = (
            f"date: {day}\nstep: fin/skeleton\noperation: deburr\n{pieces}\nhours: {minutes} min\n"
        )
    return files


def test_a_book_without_sessions_says_why_it_foretells_nothing(small_site):
    site = small_site(BASE)
    forecast = article(site.page("forecast")).text
    assert "No date is given: the record covers fewer than 6 weeks." in forecast
    assert "About 8 h by the clock left." in forecast
    assert "1 step has neither an estimate nor pieces whose pace is known" in forecast
    assert "Nothing to hold earlier forecasts against yet" in forecast
    assert "No session yet names its operation and its pieces." in article(site.page("pace")).text
    assert "would be finished" not in article(site.page("index")).text
    assert site.log == ()


def test_a_book_that_is_finished(small_site):
    done = "date: 2025-01-04\nwork:\n" + "".join(
        f"  - step: fin/{step}\n    hours: 3h\n    finished: yes\n"
        for step in ("skeleton", "close")
    )
    forecast = article(small_site({**BASE, "sessions/a.yml": done}).page("forecast")).text
    assert "No date is given: every step is finished." in forecast
    assert "left." not in forecast.partition("Weeks")[0]


def test_nothing_planned_at_all(small_site):
    forecast = article(small_site({}).page("forecast")).text
    assert "No date is given: no step is planned yet." in forecast


def test_a_book_with_a_date(small_site):
    site = small_site({**BASE, "parts.yml": ROUTE, **sessions(8)})
    told = derive(read(site.folder.parent / "content").book).forecast
    dates = [show_date(d) for d in (told.finish.early, told.finish.late, told.finish.likely)]
    forecast = article(site.page("forecast"))
    said = f"between {dates[0]} and {dates[1]}, most likely around {dates[2]}"
    assert said in forecast.text
    assert said in article(site.page("index")).text
    assert "an honest guess, not a promise" in forecast.text.lower()
    assert "1 step has neither an estimate" in forecast.text
    # 8 h planned, 60 + 48 + 42 + 38 + 4 * 45 = 368 min spent, no finished step: 112 min left.
    assert told.left.minutes == 112
    assert "About 2 h left" in article(site.page("sections/fin/skeleton")).text
    assert "about 2 h left" in article(site.page("sections/fin")).text
    assert "left" not in article(site.page("sections/fin/close")).one(class_="bb-lead").text


def test_the_pace_page_says_what_a_piece_takes_and_why_there_is_no_curve(small_site):
    site = small_site({**BASE, "parts.yml": ROUTE, **sessions(8)})
    pace = article(site.page("pace"))
    text = pace.text
    # Five pieces in 60 + 48 + 42 + 38 + 45 minutes; the spar three times more, 135 minutes.
    assert "5 pieces in 5 sessions, 47 min a piece, sessions from 38 min to 60 min" in text
    assert "No curve: fewer than 8 pieces" in text
    assert "Time on pieces done again: 2 h 15" in text
    assert "unit theory" in text
    assert "cumulative-average theory" in text
    assert "at least 4 sessions with 8 pieces" in text


def test_both_pages_are_found_by_search_and_navigation(demo_book):
    pages = {page.path: page for page in lay_out(Context(demo_book, derive(demo_book)))}
    for path in ("pace", "forecast"):
        assert pages[path].listed
        assert pages[path].search[0].title == pages[path].title
    order = list(pages)
    assert order.index("hours") < order.index("pace") < order.index("forecast")
    anchors = {entry.anchor for entry in pages["pace"].search[1:]}
    assert anchors == {o.name for o in pages["pace"].view.operations}


def test_what_the_demo_book_says_is_what_its_steps_add_up_to(demo_book, demo_site):
    told = derive(demo_book).forecast
    assert told.left.minutes == sum(s.minutes for s in told.left.steps.values())
    text = article(demo_site.page("forecast")).text
    assert f"About {about(told.left.minutes)} by the clock left." in text
    for finish in told.sections.values():
        assert f"{show_date(finish.early)} to {show_date(finish.late)}" in text


@pytest.fixture(scope="module")
def demo_book():
    from sites import ROOT  # noqa: PLC0415

    return read(ROOT / "content").book


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(1, "5 min"), (33, "35 min"), (59, "1 h"), (70, "1 h"), (80, "1 h 30"), (599, "10 h"),
     (4223, "70 h"), (90_000, "1,500 h")],
)  # fmt: skip
def test_hours_left_are_not_said_more_exactly_than_they_are_known(minutes, words):
    assert about(minutes) == words


@pytest.mark.parametrize(
    ("minutes", "words"), [(0.84, "0.8 min"), (9.96, "10.0 min"), (44.6, "45 min"), (150, "2 h 30")]
)
def test_minutes_a_piece_in_words(minutes, words):
    assert per_piece_words(minutes) == words
