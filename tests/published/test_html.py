"""The pages against the HTML Living Standard, as the Nu HTML checker reads it.

Source: https://validator.github.io/validator/.

The checker is installed by `tests/fetch_tools.py` and needs Java; without it, this is skipped.
"""

import json
import shutil
import subprocess

import pytest
from fetch_tools import JAR
from sites import BASE, FOUR_LINES, Site, SmallSite

AUTOCOMPLETE = (
    "Attribute “autocomplete” is only allowed when the input type is “color”, “date”, "
    "“datetime-local”, “email”, “hidden”, “month”, “number”, “password”, “range”, “search”, "
    "“tel”, “text”, “time”, “url”, or “week”."
)
"""Of base.html: the checkboxes that open the drawer and the search."""

LABEL = (
    "The value of the “for” attribute of the “label” element must be the ID of a non-hidden form "
    "control."
)
"""Of partials/toc.html: a label for a checkbox that a page without an outline does not have."""

TABINDEX = (
    "Bad value “” for attribute “tabindex” on element “label”: "
    "The empty string is not a valid integer."
)
"""Of partials/nav-item.html: the heading of a group in a navigation with tabs."""

FROM_THE_THEME = (AUTOCOMPLETE, LABEL, TABINDEX)
"""What the checker says about the theme's own templates, word for word."""


def complaints(*sites: Site) -> list[str]:
    """Run the checker over all pages, style sheets left out; give errors and warnings of ours."""
    java = shutil.which("java")
    if not java or not JAR.is_file():
        pytest.skip("needs Java and the checker: run tests/fetch_tools.py")
    command = [java, "-jar", JAR, "--format", "json", "--skip-non-html", "--exit-zero-always"]
    done = subprocess.run(
        [*command, *(site.folder for site in sites)], check=True, capture_output=True, text=True
    )
    # Kept apart from the pages' messages, it says when there was nothing to check.
    messages = json.loads(done.stderr)["messages"]
    assert any(m["message"] in FROM_THE_THEME for m in messages), "it looked at nothing"
    return [
        f"{m.get('url', '').rpartition('/')[2]}:{m.get('lastLine')}: {m['message']}"
        for m in messages
        if m["message"] not in FROM_THE_THEME
    ]


def test_the_demo_book(demo_site: Site) -> None:
    assert complaints(demo_site) == []


def test_a_book_with_hardly_anything(small_site: SmallSite) -> None:
    one_session = {**BASE, "sessions/2025-03-08.yml": FOUR_LINES}
    assert complaints(small_site({}), small_site(one_session)) == []
