"""The page on which a session is written: made only when asked for, alone, and for any finger.

Accessibility by axe-core's rules for WCAG 2.2, A and AA (https://github.com/dequelabs/axe-core);
the size of what is touched by WCAG 2.2, 2.5.5: 44 by 44 CSS pixels.
"""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fetch_tools import AXE
from forms import PAGE, PHONE, WITH_FORM, Form, jpeg, opened
from playwright.sync_api import expect
from sites import BASE, FOUR_LINES, ROOT, SETTINGS, Site, SmallSite

from buildbook.pages.form import ASSETS, SCRIPTS
from buildbook.records.read import read
from mkdocs_buildbook import saving

HALF_DONE = """\
date: 2025-03-08
step: fin/skeleton
operation: drill
parts: FN-02-L
pieces: 01, 03
hours: 2h
notes: Drilled two.
"""
ROUTED = """\
- part: FN-01
  name: Rear spar
  route: deburr, drill
- part: FN-02-L
  name: Nose rib
  route: drill
  pieces:
    - {piece: 01 to 04, side: port, position: 1 to 4}
    - {piece: 05, scrapped: 2025-02-01, why: Bent}
    - {piece: 06, replaces: 05}
  quantity: 5
"""
FILES: dict[str, str | bytes] = {
    **BASE,
    "parts.yml": ROUTED,
    "sessions/2025-03-08.yml": HALF_DONE,
    "squawks.yml": "- squawk: 7\n  title: A scratch\n  found: 2025-01-02\n  pieces: FN-02-L-02\n",
}


@pytest.fixture(scope="module")
def site(small_site: SmallSite) -> Site:
    return small_site(FILES, settings=WITH_FORM)


@pytest.fixture
def form(site: Site, browser) -> Iterator[Form]:
    with opened(browser, site.folder / PAGE) as page:
        yield page


# When it is made.


def test_a_site_has_it_only_when_asked(small_site: SmallSite) -> None:
    site = small_site({**BASE, "sessions/2025-03-08.yml": FOUR_LINES})
    assert not (site.folder / PAGE).exists()
    assert not (site.folder / ASSETS).exists()
    for path, page in site.pages():
        assert not [to for _, to in page.links if "write-a-session" in to], path


def test_it_is_in_the_navigation_and_in_no_index(site: Site) -> None:
    assert any(to == PAGE for _, to in site.page("index").links)
    page = site.page(PAGE.removesuffix(".html"))
    assert page.one("meta", name="robots").attributes["content"] == "noindex"
    assert not site.page("index").all("meta", name="robots")
    index = json.loads((site.folder / "search" / "search_index.json").read_text(encoding="utf-8"))
    assert not [e for e in index["docs"] if "write" in e["location"]]


def test_all_scripts_are_there_and_loaded(site: Site) -> None:
    there = {f.name for f in (site.folder / ASSETS).iterdir()}
    assert there == {*(f"{name}.js" for name in SCRIPTS), "form.css"}
    page = (site.folder / PAGE).read_text(encoding="utf-8")
    assert re.findall(rf'src="{ASSETS}/(\w+)\.js" defer', page) == list(SCRIPTS)


@pytest.mark.parametrize("form_option", ["true", "false"])
def test_no_built_site_has_a_way_in(
    small_site: SmallSite, form_option: str, tmp_path: Path
) -> None:
    """Neither the address that takes sessions nor a token; the page only knows what to look for."""
    settings = SETTINGS.replace("  - buildbook\n", f"  - buildbook: {{form: {form_option}}}\n")
    site = small_site(FILES, settings=settings, folder=tmp_path)
    for file in site.folder.rglob("*"):
        if file.is_file():
            data = file.read_bytes()
            assert saving.PATH.encode() not in data, file
            assert b'name="buildbook-saving"' not in data, file


def test_the_demo_shows_it(demo_site: Site) -> None:
    assert (demo_site.folder / PAGE).is_file()


# Working it.


def test_four_lines(form: Form) -> None:
    """The common case: a step, hours, notes; the date is there."""
    form.page.get_by_role("button", name="Fin: Skeleton").tap()
    form.page.get_by_role("button", name="2h30").tap()
    form.page.get_by_label("Notes").fill("Clamped the rear spar.")
    written = form.written()
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", written.pop("date"))
    assert written == {"step": "fin/skeleton", "hours": "2h30", "notes": "Clamped the rear spar."}
    assert form.text().startswith(
        "# yaml-language-server: $schema=../../.buildbook/schema/sessions.json\n"
    )


def test_pieces_are_ticked_off(form: Form) -> None:
    form.at("step").select_option("fin/skeleton")
    form.at("operation").select_option("drill")
    part = form.page.locator("fieldset.bb-part").nth(1)
    done = [" ".join(words.split()) for words in part.locator(".bb-done").all_inner_texts()]
    assert done == ["FN-02-L 01 port 1, done", "FN-02-L 03 port 3, done"]
    assert "squawk 7" in part.inner_text()
    part.get_by_role("button", name="All 3 that are left").tap()
    assert form.written()["parts"] == "FN-02-L"
    assert form.written()["pieces"] == ["02", "04", "06"]
    part.locator("label:has(input[value='03'])").tap()
    assert form.written()["pieces"] == ["02 to 04", "06"]
    error = form.at("pieces", "-error")
    expect(error).to_have_text(re.compile("03 was done already"))
    form.unfold()
    form.at("knowingly").fill("The hole was too small.")
    expect(error).to_be_hidden()


def test_another_part_is_added(form: Form) -> None:
    form.at("step").select_option("fin/close")
    form.at("pieces", "-another").fill("FN-99")
    form.at("pieces", "-another").press("Enter")
    expect(form.page.get_by_text("the book has no part “FN-99”")).to_be_visible()
    form.at("pieces", "-another").fill("FN-02-L")
    form.at("pieces", "-another").press("Enter")
    assert form.written()["parts"] == "FN-02-L"


def test_several_pieces_of_work_and_back(form: Form) -> None:
    form.at("step").select_option("fin/skeleton")
    form.at("notes").fill("Drilled.")
    form.page.locator("#bb-add-work").tap()
    assert form.written()["work"] == [{"step": "fin/skeleton", "notes": "Drilled."}]
    form.at("work.1.step").select_option("fin/close")
    assert [w["step"] for w in form.written()["work"]] == ["fin/skeleton", "fin/close"]
    form.page.get_by_role("button", name="Remove piece of work 2").tap()
    assert "work" not in form.written()
    assert form.written()["notes"] == "Drilled."


def test_numbers_go_on_from_the_book(form: Form) -> None:
    form.unfold()
    for _ in range(2):
        form.at("squawks", "-add").tap()
        form.unfold()
    assert [form.at(f"squawks.{i}.squawk").input_value() for i in range(2)] == ["8", "9"]


@pytest.mark.parametrize(
    ("path", "entered", "words"),
    [
        ("hours", "2 bananas", "not a length of time; write it as 2h30"),
        ("hours", "2,5", "with a point"),
        ("hours", "2.40", "two ways"),
        ("hours", "1h75", "an hour has 60"),
        ("hours", "0", "no time at all"),
        ("hours", "30", "does not fit into one day"),
        ("date", "2999-01-01", "unlikely year"),
        ("date", "2199-01-01", "still to come"),
        ("from", "19:30", "needs “To” as well"),
        ("break", "10 min", "needs “From” as well"),
        ("title", "x" * 301, "longer than 300"),
    ],
)
def test_mistakes_are_said_in_words(form: Form, path: str, entered: str, words: str) -> None:
    form.unfold()
    control = form.at(path)
    control.fill(entered)
    error = form.at(path, "-error")
    expect(error).to_contain_text(words)
    expect(control).to_have_attribute("aria-invalid", "true")
    described = control.get_attribute("aria-describedby") or ""
    assert error.get_attribute("id") in described.split()


LENGTHS = (
    *("2.5", "2h30", "2 h 30 min", "2:30", "150 min", "2 hours", "45m", "PT2H30M", "P1W", "1h75"),
    *(
        "2.40",
        "2,5",
        "-1",
        "abc",
        "",
        "1.25",
        "0",
        "25h",
        "3 h 5",
        "PT",
        "P1M",
        "1:5",
        "90 minutes",
    ),
)


@pytest.mark.parametrize("written", LENGTHS)
def test_lengths_of_time_are_read_as_the_book_reads_them(form: Form, written: str) -> None:
    from buildbook.records.durations import parse_duration  # noqa: PLC0415

    found = form.page.evaluate("text => bbForm.minutes(text)", written)
    try:
        expected = parse_duration(written)
    except ValueError:
        assert isinstance(found, str)
    else:
        assert found == expected


@pytest.mark.parametrize("title", ["Ribs & spars: ½", "Ærø Straße Łódź", "日本", "--a--", "É" * 90])
def test_names_are_made_as_the_book_makes_them(form: Form, title: str) -> None:
    from buildbook.records.names import MAX_NAME, slugify  # noqa: PLC0415

    found = form.page.evaluate("title => bbForm.sessionSlug({ date: '2025-03-08', title })", title)
    slug = slugify(title)[:MAX_NAME].strip("-")
    assert found == (f"2025-03-08-{slug}" if slug else "2025-03-08")


def test_a_second_session_of_a_date_needs_a_title(form: Form) -> None:
    form.at("date").fill("2025-03-08")
    form.page.locator("#bb-copy").tap()
    expect(form.page.locator("#bb-problems")).to_contain_text("give this one another title")


def test_what_is_missing_is_told_when_the_file_is_wanted(form: Form) -> None:
    """It leads to the place, also where that is folded away; the file can be had all the same."""
    form.unfold()
    form.at("readings", "-add").tap()
    form.unfold()
    form.at("readings.0.reading").fill("edge distance")
    form.page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = false; })")
    with form.page.expect_download():
        form.page.locator("#bb-download").tap()
    problems = form.page.locator("#bb-problems")
    expect(problems).to_contain_text("Step: choose what was worked on")
    problems.get_by_role("link", name="Readings 1, values").tap()
    expect(form.at("readings.0.values", "-new")).to_be_focused()


# Pictures.


def test_photos_give_names_and_times(form: Form) -> None:
    form.unfold()
    form.at("photos", "-files").set_input_files(
        [
            {
                "name": "IMG 0042.JPG",
                "mimeType": "image/jpeg",
                "buffer": jpeg("2025:03:08 19:10:05"),
            },
            {
                "name": "IMG_0043.jpg",
                "mimeType": "image/jpeg",
                "buffer": jpeg("2025:03:08 20:40:00", "+00:00"),
            },
            {"name": "scan.png", "mimeType": "image/png", "buffer": b"no picture"},
        ]
    )
    expect(form.page.locator("fieldset.bb-entry")).to_have_count(3)
    names = [form.at(f"photos.{i}.file").input_value() for i in range(3)]
    assert names == [
        "2025/03/2025-03-08-191005-img-0042.jpg",
        "2025/03/2025-03-08-214000-img-0043.jpg",  # the book is kept an hour east of UTC
        "undated/undated-scan.png",
    ]
    said = form.page.locator(".bb-beside").all_inner_texts()
    assert "19:10, by the camera's clock" in said[0]
    assert "the file's own time" in said[2]
    form.page.locator("#bb-photo-times").tap()
    written = form.written()
    assert (written["date"], written["from"], written["to"]) == ("2025-03-08", "19:10", "21:40")
    assert all(photo.keys() == {"file"} for photo in written["photos"])


def test_names_are_those_that_bringing_in_gives(site: Site, form: Form, tmp_path: Path) -> None:
    """`buildbook photos add` puts each file where the session says it is."""
    from buildbook.incoming.pictures import Survey  # noqa: PLC0415 - loads large libraries

    clip = next((ROOT / "content" / "photos").rglob("*.mp4"))
    files = {"IMG_0042 (Spar).JPG": jpeg("2025:03:08 19:10:05"), "PXL-7.mp4": clip.read_bytes()}
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    survey = Survey(read(site.folder.parent / "content").book, {})
    expected = [survey.look_at(tmp_path / name).file for name in files]
    form.unfold()
    for kind, name in zip(("photos", "clips"), files, strict=True):
        form.at(kind, "-files").set_input_files(tmp_path / name)
        form.at(f"{kind}.0.file").wait_for()
    assert [form.at(f"{kind}.0.file").input_value() for kind in ("photos", "clips")] == expected
    assert all(path.startswith("20") for path in expected)


# Giving the file away.


def test_it_is_shared_where_the_browser_shares(site: Site, browser) -> None:
    """A browser that refuses the ending is given another one, and the builder is told."""
    share = """
        navigator.canShare = () => true;
        navigator.share = async ({ files: [file] }) => {
          if (!file.name.endsWith('.txt')) throw new DOMException('no', 'NotAllowedError');
          globalThis.shared = [file.name, await file.text()];
        };
    """
    context = browser.new_context(**PHONE)
    context.add_init_script(share)
    page = context.new_page()
    try:
        page.goto((site.folder / PAGE).as_uri())
        page.locator("#bb-date").fill("2025-03-09")
        page.locator("#bb-share").tap()
        expect(page.locator("#bb-status")).to_contain_text("as 2025-03-09.yml.txt")
        page.locator("#bb-share").tap()
        expect(page.locator("#bb-status")).to_contain_text("Take the .txt off")
        name, text = page.evaluate("shared")
        assert name == "2025-03-09.yml.txt"
        assert text == page.locator("#bb-yaml").text_content()
    finally:
        context.close()


def test_it_is_copied(site: Site, browser) -> None:
    options = {"permissions": ["clipboard-read", "clipboard-write"]}
    with opened(browser, site.folder / PAGE, **options) as form:
        form.page.locator("#bb-copy").tap()
        expect(form.page.locator("#bb-status")).to_contain_text("Copied")
        assert form.page.evaluate("navigator.clipboard.readText()") == form.text()


def test_there_is_nothing_to_save_into_from_disk(form: Form) -> None:
    expect(form.page.locator("#bb-save")).to_be_hidden()


# The draft.


def test_a_draft_is_put_aside_and_brought_back(form: Form) -> None:
    form.at("notes").fill("Fluted.")
    form.page.locator("#bb-another").tap()
    assert "notes" not in form.written()
    form.page.reload()
    form.page.locator("#bb-former").tap()
    assert form.written()["notes"] == "Fluted."


def test_without_storage_it_works_and_says_so(site: Site, browser) -> None:
    context = browser.new_context(**PHONE)
    context.add_init_script(
        "for (const name of ['localStorage', 'sessionStorage']) Object.defineProperty("
        "  globalThis, name, { get() { throw new DOMException('blocked', 'SecurityError'); } });"
    )
    page = context.new_page()
    try:
        page.goto((site.folder / PAGE).as_uri())
        page.locator("#bb-notes").fill("Fluted.")
        expect(page.locator("#bb-draft")).to_contain_text("keeps no draft")
        assert "Fluted." in (page.locator("#bb-yaml").text_content() or "")
    finally:
        context.close()


def test_a_draft_of_another_shape_breaks_nothing(site: Site, browser) -> None:
    for draft in ('"text"', "[1]", "{", '{"parts": "x", "pieces": {"gone": ["1"]}, "date": ""}'):
        context = browser.new_context(**PHONE)
        context.add_init_script(
            f"localStorage.setItem('buildbook draft: The Fencroft book', {json.dumps(draft)})"
        )
        page = context.new_page()
        errors: list[str] = []
        page.on("pageerror", lambda error, errors=errors: errors.append(str(error)))
        try:
            page.goto((site.folder / PAGE).as_uri())
            page.locator("#bb-session:not([hidden])").wait_for()
            assert errors == []
        finally:
            context.close()


# For any finger, any eye and a keyboard.


def fill_a_lot(form: Form) -> None:
    """Bring every kind of control onto the page, with mistakes in some."""
    form.at("step").select_option("fin/skeleton")
    form.at("operation").select_option("drill")
    form.page.locator("fieldset.bb-part label:has(input[value='01'])").first.click()
    for name in ("photos", "readings", "lessons", "squawks", "mixed", "clips"):
        form.unfold()
        form.at(name, "-add").click()
    form.unfold()
    form.at("photos.0.markers", "-add").click()
    form.unfold()
    form.at("hours").fill("soon")
    form.page.locator("#bb-copy").click()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("site_of", ["small", "demo"])
def test_axe_finds_nothing(site: Site, demo_site: Site, browser, scheme: str, site_of: str) -> None:
    if not AXE.is_file():
        pytest.skip("needs axe-core: run tests/fetch_tools.py")
    folder = (site if site_of == "small" else demo_site).folder
    with opened(browser, folder / PAGE, color_scheme=scheme) as form:
        if site_of == "small":
            fill_a_lot(form)
        form.unfold()
        form.page.add_script_tag(path=AXE)
        found = form.page.evaluate(
            """async rules => (await axe.run('.bb-session', { preload: false, runOnly: rules }))
               .violations.map(v => [v.id, v.nodes.slice(0, 3).map(n => n.html)])""",
            ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
        )
    assert found == []


SMALLEST = 44
"""CSS pixels. WCAG 2.2, 2.5.5 (AAA)."""


@pytest.mark.parametrize("width", [320, 360, 390])
def test_it_fits_a_phone_and_a_finger(site: Site, browser, width: int) -> None:
    with opened(browser, site.folder / PAGE, viewport={"width": width, "height": 780}) as form:
        fill_a_lot(form)
        form.unfold()
        assert form.page.evaluate("document.documentElement.scrollWidth") <= width
        small = form.page.evaluate(
            """smallest => [...document.querySelectorAll(
                 '.bb-session :is(button, select, summary, textarea, input:not([type=checkbox])),' +
                 '.bb-session label:has(input)')]
               .filter(e => e.checkVisibility() && e.getBoundingClientRect().height < smallest)
               .map(e => e.outerHTML.slice(0, 80))""",
            SMALLEST,
        )
        assert small == []


def test_a_keyboard_is_enough(site: Site, browser) -> None:
    """From the top of the form to a saved file with Tab, arrows, Space and Enter."""
    desk = {"viewport": {"width": 1280, "height": 900}, "is_mobile": False, "has_touch": False}
    with opened(browser, site.folder / PAGE, **desk) as form:
        page = form.page
        at = "document.activeElement.id || document.activeElement.textContent.trim()"

        def tab_to(name: str) -> None:
            for _ in range(80):
                page.keyboard.press("Tab")
                if page.evaluate(at) == name:
                    return
            pytest.fail(f"Tab does not lead to {name}")

        tab_to("Fin: Skeleton")
        page.keyboard.press("Enter")
        assert page.evaluate(at) == "bb-operation"
        page.keyboard.type("Dr")
        tab_to("bb-hours")
        page.keyboard.type("2h")
        tab_to("bb-notes")
        page.keyboard.type("Drilled.")
        tab_to("More about this work")
        page.keyboard.press("Space")
        tab_to("bb-finished")
        page.keyboard.press("Space")
        tab_to("bb-download")
        with page.expect_download() as download:
            page.keyboard.press("Enter")
        assert download.value.suggested_filename.endswith(".yml")
        written = form.written()
    assert {**written, "date": ""} == {
        "date": "",
        "step": "fin/skeleton",
        "operation": "drill",
        "hours": "2h",
        "notes": "Drilled.",
        "finished": "yes",
    }


def test_without_scripts_it_says_what_to_do(site: Site, browser) -> None:
    context = browser.new_context(**PHONE, java_script_enabled=False)
    page = context.new_page()
    try:
        page.goto((site.folder / PAGE).as_uri())
        expect(page.get_by_text("This page needs JavaScript")).to_be_visible()
    finally:
        context.close()


def test_the_setting_is_documented() -> None:
    assert "form:" in (ROOT / "docs" / "how-to" / "phone.md").read_text(encoding="utf-8")
