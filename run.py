#!/usr/bin/env python3
"""Sets everything up and runs it: `python3 run.py demo` or `python3 run.py test`.

Needs Python 3.11 or later and nothing else. What is installed goes into `.venv` beside this file.
"""

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
LOCK = HERE / "requirements.lock"
MANUAL = HERE / "manual"
USAGE = """usage: python3 run.py COMMAND

  demo [OPTIONS]   show the demo book at http://127.0.0.1:8000, the documentation at /manual/
  docs             build the documentation into manual/, to be opened from disk
  test [OPTIONS]   run the tests (options go to pytest)
  coverage         run the tests and tell which branches none of them takes
  words            gather the site's own words into the catalogues of other languages
  lint             ruff, its formatter and mypy
  setup            only set up
"""


def say(words: str) -> None:
    """Tell what is going on."""
    print(f"run.py: {words}", flush=True)


def call(*command: str | Path, check: bool = True) -> int:
    """Run a command in the project's folder; its failure is ours."""
    env = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
    status = subprocess.run([str(part) for part in command], cwd=HERE, env=env, check=False)
    if check and status.returncode:
        sys.exit(status.returncode)
    return status.returncode


def set_up() -> None:
    """Make the virtual environment and install what the lock file names, unless it is there."""
    if sys.version_info < (3, 11):  # noqa: UP036 - said in words to whoever runs an older one
        sys.exit(f"run.py: Python 3.11 or later is needed, this is {sys.version.split()[0]}")
    wanted = hashlib.sha256(LOCK.read_bytes() + (HERE / "pyproject.toml").read_bytes()).hexdigest()
    stamp = VENV / "installed"
    if stamp.is_file() and stamp.read_text() == wanted:
        return
    if not (BIN / ("python.exe" if os.name == "nt" else "python")).exists():
        say(f"making a virtual environment in {VENV.name}")
        call(sys.executable, "-m", "venv", VENV)
    say("installing what the project needs (a few minutes the first time)")
    pip = [BIN / "python", "-m", "pip", "--disable-pip-version-check", "-q"]
    call(*pip, "install", "-r", LOCK)
    call(*pip, "install", "--no-deps", "-e", HERE)
    stamp.write_text(wanted)


def docs(_: list[str]) -> None:
    """Build the documentation, with no link that leads nowhere."""
    call(BIN / "mkdocs", "build", "--strict", "-f", "docs.yml")
    say(f"open {MANUAL / 'index.html'}")


def demo(options: list[str]) -> None:
    """Build the documentation, and serve it beside the demo book."""
    say("building the documentation")
    call(BIN / "mkdocs", "build", "-q", "-f", "docs.yml")
    say("showing the demo book, and the documentation at /manual/; stop with Ctrl-C")
    try:
        call(BIN / "buildbook", "serve", "--beside", MANUAL, *options)
    except KeyboardInterrupt:
        say("stopped")


def test(options: list[str]) -> None:
    """Fetch what the tests need besides packages, and run them."""
    for script in ("fetch_samples.py", "fetch_tools.py"):
        say(f"tests/{script}")
        call(BIN / "python", HERE / "tests" / script)
    if not any(map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))):
        say("no Chromium found: the browser tests will be skipped (Debian: apt install chromium)")
    say("running the tests")
    call(BIN / "python", "-m", "pytest", *(options or ["-n", "auto"]))


def coverage(options: list[str]) -> None:
    """Run the tests and tell which lines and branches none of them takes."""
    report = ["--cov=buildbook", "--cov=mkdocs_buildbook", "--cov-branch"]
    test([*(options or ["-n", "auto"]), *report, "--cov-report=term-missing:skip-covered"])


def lint(_: list[str]) -> None:
    """Check style, format and types."""
    call(BIN / "ruff", "check", ".")
    call(BIN / "ruff", "format", "--check", ".")
    call(BIN / "mypy")
    call(BIN / "mypy", *sorted((HERE / "docs" / "made").glob("*.py")))


def words(_: list[str]) -> None:
    """Gather the site's own words into the catalogues."""
    sys.exit(call(BIN / "python", "-m", "buildbook.languages.gather", check=False))


COMMANDS = {
    "demo": demo,
    "docs": docs,
    "test": test,
    "coverage": coverage,
    "words": words,
    "lint": lint,
    "setup": lambda _: None,
}


def main() -> None:
    """Set up, then run the command."""
    name, *options = sys.argv[1:] or [""]
    if name not in COMMANDS:
        sys.exit(USAGE)
    set_up()
    COMMANDS[name](options)


if __name__ == "__main__":
    main()
