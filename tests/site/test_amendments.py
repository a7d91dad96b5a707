"""A session's page shows its corrections, each with what stood there before."""

from parsed import article
from sites import BASE, FOUR_LINES, SmallSite

AMENDED = (
    FOUR_LINES
    + """\
amendments:
  - date: 2025-03-10
    field: hours
    was: 2h
    why: Miscounted <b>the break</b>.
  - date: 2025-03-11
    field: notes
    was: |
      First line.
        Second line, *not* emphasised.
    by: ben
  - {date: 2025-03-12, field: who}
"""
)


def test_they_are_shown_in_the_order_they_were_made(small_site: SmallSite) -> None:
    site = small_site({**BASE, "sessions/a.yml": AMENDED})
    assert site.log == ()
    page = article(site.page("sessions/2025-03-08"))
    start = page.text.index("Amended")
    said = page.text[start:]
    assert "10 March 2025, Ada Fen: hours was 2h. Miscounted <b>the break</b>." in said
    assert "11 March 2025, Ben Fen: notes was as below" in said
    assert "Second line, *not* emphasised." in said
    assert "12 March 2025, Ada Fen: who was not written" in said
    assert said.index("10 March") < said.index("11 March") < said.index("12 March")
    assert not page.all("em")


def test_a_session_without_corrections_says_nothing_of_them(small_site: SmallSite) -> None:
    site = small_site({**BASE, "sessions/a.yml": FOUR_LINES})
    assert "Amended" not in article(site.page("sessions/2025-03-08")).text
