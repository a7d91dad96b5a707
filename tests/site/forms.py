"""The page on which a session is written, as a person works it: on a phone, with a finger."""

import io
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Locator, Page
from sites import SETTINGS

from buildbook.records.yamlfile import read_yaml

WITH_FORM = SETTINGS.replace("  - buildbook\n", "  - buildbook:\n      form: true\n")
"""Settings of a site that has the page."""
PAGE = "write-a-session.html"
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}

Tree = dict[str, Any]
"""A session as a file holds it: texts, lists and records."""


class Form:
    """The page, opened."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.errors: list[str] = []
        self.asked: list[str] = []
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("console", lambda m: self.errors.append(m.text) if m.type == "error" else None)
        page.on("dialog", lambda dialog: (self.errors.append("a dialog"), dialog.dismiss()))
        page.on("request", lambda r: self.asked.append(r.url))
        page.goto(address)
        page.locator("#bb-session:not([hidden])").wait_for()
        data = page.locator("#bb-form-data").text_content()
        assert data
        self.data: dict[str, Any] = json.loads(data)

    def at(self, path: str, more: str = "") -> Locator:
        """Find a control by the place of its field, as `readings.0.values`."""
        return self.page.locator(f"#bb-{re.sub('[^A-Za-z0-9]+', '-', path)}{more}")

    def unfold(self) -> None:
        """Unfold everything."""
        self.page.evaluate(
            "document.querySelectorAll('#bb-fields details').forEach(d => { d.open = true; })"
        )

    def text(self) -> str:
        """Give the file as it is shown."""
        return self.page.locator("#bb-yaml").text_content() or ""

    def written(self) -> Any:
        """Read the file as the book reads it; it has no problem as YAML."""
        file = read_yaml("sessions/new.yml", self.text().encode())
        assert file.problems == ()
        return file.data

    def field(self, record: str, name: str) -> dict[str, Any]:
        """Give what the page knows of a field."""
        return next(f for f in self.data["fields"][record] if f["name"] == name)

    # Entering a session.

    def enter(self, session: Tree) -> None:
        """Enter every field of a session."""
        works = session.get("work", [])
        for i, work in enumerate(works):
            if i != 1:  # the first is there, and the second is what makes it a list
                self.page.locator("#bb-add-work").click()
            self._work("Work", work, f"work.{i}")
        self._work("Session", {n: v for n, v in session.items() if n != "work"}, "")

    def _work(self, record: str, work: Tree, path: str) -> None:
        """Enter what stands in a record; step and operation first, since they draw the rest."""
        here = f"{path}." if path else ""
        for name in ("step", "operation"):
            if name in work:
                self._field(record, name, work[name], here + name)
        for number in work.get("parts", ()):
            self._part(number, here).locator("label", has_text="worked on").first.click()
        for number, marks in work.get("pieces", {}).items():
            for mark in marks:
                self._part(number, here).locator(f"label:has(input[value='{mark}'])").click()
        self.unfold()
        for name, value in work.items():
            if name not in ("step", "operation", "parts", "pieces"):
                self._field(record, name, value, here + name)

    def _part(self, number: str, here: str) -> Locator:
        legend = self.page.locator("legend", has_text=re.compile(rf"^{re.escape(number)} "))
        return self.at(f"{here}pieces").locator("fieldset.bb-part").filter(has=legend)

    def _field(self, record: str, name: str, value: Any, path: str) -> None:
        field = self.field(record, name)
        if field["kind"] == "record":
            if field.get("several"):
                for entry in value if isinstance(value, list) else [value]:
                    self._entry(field, entry, path)
            else:
                self._record(field["record"], value, path)
        elif field.get("several"):
            for one in value if isinstance(value, list) else [value]:
                self._one_more(one, path)
        elif field["kind"] == "yes-no":
            self.at(path).check()
        else:
            self._single(self.at(path), value)

    def _entry(self, field: dict[str, Any], entry: Any, path: str) -> None:
        if isinstance(entry, str):
            self.at(path, "-cite").select_option(entry)
            self.page.locator(f"div.bb-field:has(> label[for='bb-{path}-cite']) button").click()
            self.unfold()
            return
        count = self.page.evaluate(
            "path => path.split('.').reduce((at, key) => at[key], bbForm.state).length", path
        )
        self.at(path, "-add").click()
        self.unfold()
        self._record(field["record"], entry, f"{path}.{count}")

    def _record(self, record: str, values: Tree, path: str) -> None:
        for name, value in values.items():
            self._field(record, name, value, f"{path}.{name}")

    def _one_more(self, value: str, path: str) -> None:
        new = self.at(path, "-new")
        if not new.count():  # few names: boxes to tick
            self.at(path).locator(f"label:has(input[value={json.dumps(value)}])").click()
        elif new.evaluate("e => e.tagName") == "SELECT":
            new.select_option(value)
            self.at(path).get_by_role("button", name="Add", exact=True).click()
        else:
            new.fill(value)
            new.press("Enter")

    def _single(self, control: Locator, value: str) -> None:
        if control.evaluate("e => e.tagName") == "SELECT":
            control.select_option(value)
        else:
            control.fill(value)


@contextmanager
def opened(browser: Browser, address: str | Path, **options: Any) -> Iterator[Form]:
    """Open the page in a phone's browser; nothing may go wrong while it is used."""
    context: BrowserContext = browser.new_context(**{**PHONE, **options})
    context.set_default_timeout(10_000)
    try:
        form = Form(context.new_page(), address.as_uri() if isinstance(address, Path) else address)
        yield form
        assert form.errors == [], form.errors
    finally:
        context.close()


def jpeg(taken: str = "", offset: str = "") -> bytes:
    """Make a small picture with the camera's time in it."""
    from PIL import ExifTags, Image  # noqa: PLC0415 - few tests need it

    picture = Image.new("RGB", (48, 32), (60, 90, 120))
    exif = picture.getexif()
    ifd = exif.get_ifd(ExifTags.IFD.Exif)
    if taken:
        ifd[ExifTags.Base.DateTimeOriginal] = taken
    if offset:
        ifd[ExifTags.Base.OffsetTimeOriginal] = offset
    written = io.BytesIO()
    picture.save(written, "JPEG", exif=exif)
    return written.getvalue()
