"""Photos that cannot be used: the build names each in a sentence, and all else goes on."""

import sys
from pathlib import Path

import pytest
from parsed import article
from sites import BASE, BOOK, SmallSite

sys.path.insert(0, str(Path(__file__).parents[1] / "media"))
from bad_files import NOT_USED, USED, encoded

from buildbook.records.photo import PICTURE_ENDINGS

START = "date: 2025-03-08\nstep: fin/skeleton\nhours: 1\nphotos:\n"


def entry(file: str) -> str:
    quoted = "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in file)
    return f'  - file: "{quoted}"\n    caption: Shown\n'


@pytest.mark.parametrize("full_size", ["no", "yes"])
def test_bad_photos_cost_only_themselves(small_site: SmallSite, full_size: str) -> None:
    every = {**NOT_USED, **USED, "good.jpg": (encoded("JPEG"), "")}
    # Names that no record can write are told by the next tests, and are not shown.
    shown = [
        name
        for name in every
        if Path(name).suffix.lower() in PICTURE_ENDINGS
        and name.isprintable()
        and name == " ".join(name.split())
    ]
    assert len(shown) > 25
    site = small_site(
        {
            **BASE,
            "book.yml": f"{BOOK}full size photos: {full_size}\n",
            **{f"photos/{name}": data for name, (data, _) in every.items()},
            "sessions/a.yml": START + "".join(map(entry, shown)),
        }
    )
    for name, (_, said) in NOT_USED.items():
        told = [line for line in site.log if f"photos/{name}" in line]
        assert len(told) == 1, (name, site.log)
        assert said in told[0]
    page = article(site.page("sessions/2025-03-08"))
    pictures = page.all("img")
    assert len(pictures) == len(shown) - len(NOT_USED)
    for picture in pictures:
        assert (site.folder / "sessions" / picture.attributes["src"]).is_file()


@pytest.mark.parametrize("name", ["../book.jpg", "a/../../book.jpg", "/etc/passwd.jpg"])
def test_photos_outside_are_told_and_not_published(small_site: SmallSite, name: str) -> None:
    site = small_site(
        {
            **BASE,
            "book.jpg": encoded("JPEG"),
            "photos/good.jpg": encoded("JPEG"),
            "sessions/a.yml": START + entry(name) + entry("good.jpg"),
        }
    )
    assert any(f"`{name}` leads out of the folder" in line for line in site.log)
    assert len(article(site.page("sessions/2025-03-08")).all("img")) == 1


def test_names_that_differ_in_capitals_are_two_pictures(small_site: SmallSite) -> None:
    site = small_site(
        {
            **BASE,
            **{f"photos/{n}": encoded("JPEG") for n in ("Rib.jpg", "rib.jpg")},
            "sessions/a.yml": START + entry("Rib.jpg") + entry("rib.jpg"),
        }
    )
    sources = {i.attributes["src"] for i in article(site.page("sessions/2025-03-08")).all("img")}
    assert len(sources) == 2
    assert any("differ only in capitals" in line for line in site.log)


@pytest.mark.parametrize(
    ("on_disk", "typed"), [("e\u0301tabli.jpg", "\u00e9tabli.jpg"), ("a  b.jpg", "a  b.jpg")]
)
def test_a_name_that_only_looks_alike_is_told(
    small_site: SmallSite, on_disk: str, typed: str
) -> None:
    """Some disks hold an accent as a letter of its own; a record's words have single spaces."""
    site = small_site(
        {**BASE, f"photos/{on_disk}": encoded("JPEG"), "sessions/a.yml": START + entry(typed)}
    )
    assert any("has other accents or spaces on the disk" in line for line in site.log)
