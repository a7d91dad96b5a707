"""The wheel: it holds everything, and makes, checks, builds and serves a book without this folder.

Nothing is fetched: hatchling builds it here, and what the program needs is borrowed.
"""

import os
import re
import signal
import socket
import subprocess
import sys
import sysconfig
import time
import urllib.error
import urllib.request
import zipfile
from email import message_from_string
from pathlib import Path

import pytest
from sites import ROOT

WAIT = 240
"""Seconds until something that never ends is given up."""
PACKAGES = {"buildbook": ROOT, "mkdocs_buildbook": ROOT / "plugins"}
"""Each package, and the folder it is in."""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q", "wheel", str(ROOT)]
    run(*pip, "--no-deps", "--no-index", "--no-build-isolation", "-w", str(folder), cwd=folder)
    [made] = folder.glob("*.whl")
    return made


def run(*command: str | Path, cwd: Path) -> str:
    done = subprocess.run(
        [str(word) for word in command],
        cwd=cwd,
        env=surroundings(cwd),
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=WAIT,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout + done.stderr


def surroundings(home: Path) -> dict[str, str]:
    """Return an environment in which nothing leads to this folder."""
    left_out = ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")
    env = {name: value for name, value in os.environ.items() if name not in left_out}
    return {
        **env,
        "HOME": str(home),
        "PYTHONNOUSERSITE": "1",
        "PYTHONUTF8": "1",
        "NO_MKDOCS_2_WARNING": "1",
    }


@pytest.fixture(scope="module")
def program(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel into a fresh environment, and return its `buildbook`.

    A `.pth` file there names the folder in which the packages that buildbook needs are installed.
    Python adds that folder to its path, but does not look at the `.pth` files inside it. So the
    one that leads from there to this source tree, an editable install, has no effect, and the only
    `buildbook` to be found is that of the wheel.
    """
    folder = tmp_path_factory.mktemp("fresh")
    run(sys.executable, "-m", "venv", "--without-pip", folder / "env", cwd=folder)
    python = folder / "env" / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q", "--python", python]
    run(*pip, "install", "--no-deps", "--no-index", wheel, cwd=folder)
    ours = Path(
        run(
            python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder
        ).strip()
    )
    lent = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (ours / "lent.pth").write_text("".join(f"{path}\n" for path in sorted(lent)), encoding="utf-8")
    code = (
        "import buildbook, mkdocs_buildbook; print(buildbook.__file__, mkdocs_buildbook.__file__)"
    )
    for found in run(python, "-c", code, cwd=folder).split():
        assert Path(found).is_relative_to(folder), "it is the wheel's"
    return python.with_name("buildbook.exe" if os.name == "nt" else "buildbook")


@pytest.fixture(scope="module")
def book(program: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a book in an empty directory."""
    folder = tmp_path_factory.mktemp("empty")
    assert "A small book is here" in run(program, "init", cwd=folder)
    return folder


def in_tree() -> dict[str, Path]:
    """List every file of the packages, by the name it has in the wheel."""
    found = {}
    for package, folder in PACKAGES.items():
        for path in (folder / package).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                found[path.relative_to(folder).as_posix()] = path
    return found


def test_every_file_is_in_the_wheel(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if ".dist-info/" not in name}
        assert held == in_tree().keys()
        for name, path in in_tree().items():
            assert archive.read(name) == path.read_bytes(), name


@pytest.mark.parametrize(
    "pattern",
    [
        r"mkdocs_buildbook/templates/buildbook/session\.html",
        r"mkdocs_buildbook/frame/main\.html",
        r"mkdocs_buildbook/assets/.*\.css",
        r"mkdocs_buildbook/assets/.*\.js",
        r"mkdocs_buildbook/assets/vendor/.*\.woff2",
        r"buildbook/handover/fonts/.*\.(ttf|otf)",
        r"buildbook/handover/manual/.*\.typ",
        r"buildbook/cli/starter/content/book\.yml",
        r"buildbook/cli/starter/gitignore",
        r"buildbook/languages/de/.*",
    ],
)
def test_each_kind_of_file_is_there(pattern: str) -> None:
    """Comparing with the tree finds what the wheel lacks; this, what the tree has lost."""
    assert any(re.fullmatch(pattern, name) for name in in_tree())


def test_licences_of_what_others_made_are_in_the_wheel(wheel: Path) -> None:
    """Core metadata 2.4 (PEP 639): licence files are named, and stand below `licenses/`."""
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        [metadata] = [name for name in names if name.endswith(".dist-info/METADATA")]
        named = message_from_string(archive.read(metadata).decode()).get_all("License-File")
    folder = metadata.removesuffix("METADATA") + "licenses/"
    assert named
    assert {folder + name for name in named} <= set(names)
    vendor = ROOT / "plugins" / "mkdocs_buildbook" / "assets" / "vendor"
    for made_by_others in [
        *filter(Path.is_dir, vendor.iterdir()),
        ROOT / "buildbook/handover/fonts",
    ]:
        place = made_by_others.relative_to(ROOT).as_posix()
        assert any(name.startswith(f"{place}/LICENSE") for name in named), place
    assert "LICENSE" in named


def test_it_makes_and_checks_a_book(program: Path, book: Path) -> None:
    assert "no problems" in run(program, "check", cwd=book)
    assert (book / ".gitattributes").is_file()
    schema = book / ".buildbook" / "schema" / "sessions.json"
    assert schema.is_file()
    run(program, "schema", cwd=book)


def test_it_builds_the_site(program: Path, book: Path) -> None:
    run(program, "build", cwd=book)
    home = (book / "site" / "index.html").read_text(encoding="utf-8")
    assets = set(re.findall(r'(?:href|src)="(assets/[^"?#]+\.(?:css|js))', home))
    assert assets
    assert not [name for name in assets if not (book / "site" / name).is_file()]
    assert any((book / "site").rglob("*.woff2"))


def test_it_sets_a_pdf_and_speaks_another_language(program: Path, book: Path) -> None:
    """Fonts and the Typst files; the catalogue of words."""
    run(program, "labels", "--section", section_of(book), "--output", "labels.pdf", cwd=book)
    assert (book / "labels.pdf").read_bytes().startswith(b"%PDF-")
    settings = book / "content" / "book.yml"
    english = settings.read_text(encoding="utf-8")
    try:
        settings.write_text(f"{english.rstrip()}\nlanguage: de\n", encoding="utf-8")
        run(program, "build", "--to", "site-de", cwd=book)
    finally:
        settings.write_text(english, encoding="utf-8")
    assert 'lang="de"' in (book / "site-de" / "index.html").read_text(encoding="utf-8")


def section_of(book: Path) -> str:
    text = "".join(p.read_text(encoding="utf-8") for p in (book / "content/sections").glob("*.yml"))
    found = re.search(r"^section: (\S+)", text, re.MULTILINE)
    assert found
    return found[1]


def test_it_serves_the_site(program: Path, book: Path) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = subprocess.Popen(
        [program, "serve", "--address", f"127.0.0.1:{port}"],
        cwd=book,
        env=surroundings(book),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    try:
        page = first_page(f"http://127.0.0.1:{port}/", server)
    finally:
        # Windows would send Ctrl-C to the tests as well.
        server.send_signal(signal.SIGTERM if os.name == "nt" else signal.SIGINT)
        server.communicate(timeout=WAIT)
    assert b"<html" in page
    if os.name != "nt":
        assert server.returncode in (0, 2, -signal.SIGINT)


def first_page(address: str, server: subprocess.Popen[bytes]) -> bytes:
    """Ask again until the server answers."""
    end = time.monotonic() + WAIT
    while time.monotonic() < end and server.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=WAIT) as answer:
                return answer.read()
        except urllib.error.URLError:
            time.sleep(0.2)
    server.kill()
    pytest.fail(f"nobody answers: {server.communicate()[1].decode()}")
