"""Fixtures for tests of photos: a folder of originals, and a store."""

from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from buildbook.media.store import PictureStore


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
