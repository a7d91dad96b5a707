"""Before and after: a pair says which is which, and what the numbers on it mean."""

import sys
from pathlib import Path

from parsed import article
from sites import BASE, SmallSite

sys.path.insert(0, str(Path(__file__).parents[1] / "media"))
from bad_files import encoded

EARLY = """\
date: 2025-03-07
step: fin/skeleton
hours: 1
photos:
  - file: dent.jpg
    caption: The dent
    markers: [{at: "0.4, 0.5", caption: As deep as it is wide}]
"""
LATE = """\
date: 2025-03-08
step: fin/skeleton
hours: 1
photos:
  - file: trued.jpg
    caption: Trued on the block
    before: dent.jpg
    markers: [{box: "0.1, 0.1, 0.3, 0.2", caption: Where it was}]
"""


def test_a_pair_says_which_is_before_and_what_its_numbers_mean(small_site: SmallSite) -> None:
    photos = {f"photos/{name}.jpg": encoded("JPEG") for name in ("dent", "trued")}
    site = small_site({**BASE, **photos, "sessions/a.yml": EARLY, "sessions/b.yml": LATE})
    page = article(site.page("sessions/2025-03-08"))
    captions = page.all("figcaption")
    assert [c.all("strong")[0].text for c in captions] == ["Before.", "After."]
    assert "The dent" in captions[0].text
    assert "7 March 2025" in captions[0].text
    marked = page.all("ol", "bb-marked")
    said = [one.one("li").text.strip() for one in marked]
    assert said == ["As deep as it is wide", "Where it was"]
    assert not any("hidden" in one.attributes for one in marked)
    alone = article(site.page("sessions/2025-03-07")).all("figcaption")
    assert [c.all("strong") for c in alone] == [[]]
