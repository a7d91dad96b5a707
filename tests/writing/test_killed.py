"""`kill -9` at random moments, 200 times: no session is ever lost or half-written."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from fencroft import make_book

HERE = Path(__file__).parent


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no fork and no kill -9")
def test_killed_two_hundred_times(tmp_path: Path) -> None:
    old = "date: 1999-01-01\nstep: fin/skeleton\nhours: 1 min\nnotes: Begun.\n"
    content = make_book(tmp_path, {"sessions/1999-01-01.yml": old})
    command = [sys.executable, str(HERE / "killed.py"), str(content), "200", "20251116"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["killed"] == 200
    assert found["findings"] == []
    assert found["read"] == found["sessions"] + 1
    # The kills came at all kinds of moments: some before anything was written, some in between.
    assert found["sessions"] > 20
    assert found["partial"] + found["unsaid"] > 0
