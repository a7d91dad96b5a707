"""What tests share: the demo book's site, small sites, a browser."""

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import fetch_samples
import hypothesis
import pytest
from sites import ROOT, Site, SmallSite, build, build_small

from buildbook.records.read import read

# How long one example takes says nothing: machines are busy with other things too.
hypothesis.settings.register_profile("patient", deadline=None)
hypothesis.settings.load_profile("patient")

# The theme prints a page-long notice about a later MkDocs, which this project does not use.
os.environ["NO_MKDOCS_2_WARNING"] = "1"


@contextmanager
def _alone(lock: Path) -> Iterator[None]:
    """Let one test process in at a time."""
    import fcntl  # noqa: PLC0415 - not on Windows, where xdist is not used

    with lock.open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


@pytest.fixture(scope="session")
def demo_site(tmp_path_factory: pytest.TempPathFactory) -> Site:
    """The demo book, built once, strictly when its records have no problems."""
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" not in os.environ:
        return _demo(shared / "demo")
    shared = shared.parent
    with _alone(shared / "demo.lock"):
        done = shared / "demo.done"
        if not done.is_file():
            site = _demo(shared / "demo")
            done.write_text("\n".join(site.log), encoding="utf-8")
        return Site(shared / "demo", tuple(done.read_text(encoding="utf-8").splitlines()))


def _demo(folder: Path) -> Site:
    clean = not read(ROOT / "content").problems
    return build(ROOT / "mkdocs.yml", folder, strict=clean)


@pytest.fixture(scope="session")
def small_site(tmp_path_factory: pytest.TempPathFactory) -> SmallSite:
    """Build a site from the files a test gives: `small_site({"sections/fin.yml": "..."})`."""

    def make(
        files: dict[str, str | bytes], *, settings: str = "", folder: Path | None = None
    ) -> Site:
        return build_small(folder or tmp_path_factory.mktemp("site"), files, settings=settings)

    return make


@pytest.fixture(scope="session")
def sample() -> Callable[[str], Path]:
    """Give the path of a sample, as `piexif/r_canon.jpg`."""
    folders = {archive.name: archive.folder for archive in fetch_samples.ARCHIVES}

    def find(name: str) -> Path:
        archive, _, file = name.partition("/")
        path = folders[archive] / file
        if not path.is_file():
            said = f"the sample pictures are not there: run `{fetch_samples.COMMAND}`"
            if os.environ.get("CI", "").lower() == "true":
                pytest.fail(said)
            pytest.skip(said)
        return path

    return find


CHROMIUM = next(
    filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
)


@pytest.fixture(scope="session")
def browser():
    """A Chromium; the tests that need one are skipped where there is none."""
    if not CHROMIUM:
        pytest.skip("no Chromium")
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - most tests need none

    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield launched
        launched.close()
