"""A book whose names Windows keeps for devices makes a site that can be unpacked there."""

import ntpath
import warnings
from pathlib import Path, PureWindowsPath
from urllib.parse import unquote, urldefrag

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sites import BASE

from buildbook.files import portable


def reserved(name: str) -> bool:
    """Ask Python, whose list is its own, made after Microsoft's documentation."""
    if hasattr(ntpath, "isreserved"):  # from Python 3.13 on
        return bool(ntpath.isreserved(name))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        return PureWindowsPath(name).is_reserved()


DEVICES = st.sampled_from("con prn aux nul com1 COM9 lpt1 Lpt5 Nul AUX".split())
NAMES = st.from_regex(r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,12}[A-Za-z0-9])?", fullmatch=True)


@given(st.one_of(NAMES, DEVICES, st.tuples(DEVICES, NAMES).map(".".join)))
def test_no_name_is_reserved(name) -> None:
    assert not reserved(f"{portable(name)}.html")
    assert portable(name).removeprefix("-") == name
    if not reserved(f"{name}.html") and name.casefold().partition(".")[0] not in ("com0", "lpt0"):
        assert portable(name) == name


FILES = {
    **BASE,
    "sections/aux.yml": "section: aux\ntitle: Auxiliary tank\nsteps:\n"
    "  - {step: nul, title: Nothing, parts: 'CON, CON.1', operations: prn}\n",
    "parts.yml": "- {part: CON, name: Connector}\n- {part: CON.1, name: Plug}\n"
    "- {part: FN-01, name: Spar}\n- {part: FN-02-L, name: Rib}\n",
    "operations.yml": "- {operation: prn, title: Print}\n- {operation: deburr, title: Deburr}\n"
    "- {operation: drill, title: Drill}\n",
    "lots.yml": "- {lot: com1, title: Sealant}\n",
    "sessions/2025-03-08.yml": "date: 2025-03-08\nstep: aux/nul\noperation: prn\nparts: CON\n"
    "hours: 1h\nlots: com1\nnotes: Made CON.1 in aux/nul.\n"
    "readings: [{reading: Aux, part: CON, values: 3 mm}]\n",
}


@pytest.fixture(scope="module")
def site(small_site):
    return small_site(FILES)


def test_no_file_of_the_site_is_reserved(site) -> None:
    names = {part for p in site.folder.rglob("*") for part in p.relative_to(site.folder).parts}
    assert not [name for name in names if reserved(name)]
    assert {"-CON.html", "-CON.1.html", "-aux.html", "-nul.html", "-com1.html"} <= names


def test_the_pages_are_linked(site) -> None:
    dead = []
    pages = [(path, page) for path, page in site.pages() if path != "404"]  # it is for servers
    for path, page in pages:
        for link in page.all("a"):
            target = unquote(urldefrag(link.attributes.get("href") or "").url)
            if target and "://" not in target and not target.startswith(("mailto:", "data:")):
                file = (site.folder / path).parent / target
                if not file.exists():
                    dead.append((path, target))
    assert dead == []


def test_paths_stay_apart_where_capitals_do_not_count(site) -> None:
    files = [p.relative_to(site.folder).as_posix() for p in site.folder.rglob("*") if p.is_file()]
    assert len({name.casefold() for name in files}) == len(files)
    assert Path(site.folder / "parts").is_dir()
