"""Fixtures for tests of photos: a folder of originals, a store, and the open samples."""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from buildbook.media.store import PictureStore

sys.path.insert(0, str(Path(__file__).parents[1]))
import fetch_samples


@pytest.fixture
def photos(tmp_path: Path) -> Path:
    folder = tmp_path / "photos"
    folder.mkdir()
    return folder


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"


@pytest.fixture
def store(photos: Path, cache: Path) -> PictureStore:
    return PictureStore(photos, cache, zone=ZoneInfo("Europe/Oslo"), workers=2)


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
