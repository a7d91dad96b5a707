"""Every command line of the documentation is run, and answers what the page says it answers.

The lines of a page are run in their order, in a scratch book of that page, by a shell.
"""

import os
import re
import shutil
import signal
import socket
import subprocess
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
import scratch
from markdown_pages import Command, command_names, commands, page_names
from scenes import ENDS_WITH, MASKED, NOT_RUN, SCENES, SHORTENED, STANDS_FOR, Scene

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the pages show lines for a Unix shell")

PAGES = {
    page: found
    for page in page_names()
    if page != "docs/tutorial.md" and (found := list(commands(page)))
}
"""The tutorial has a test of its own."""


def name_of(page: str) -> str:
    return page.rpartition("/")[2].removesuffix(".md")


def test_there_are_commands():
    assert sum(map(len, PAGES.values())) > 100


@pytest.mark.parametrize("page", PAGES)
def test_commands_of(page, tmp_path):
    name = name_of(page)
    scene = SCENES.get(name, Scene())
    book = scratch.make(scene.book, tmp_path / "book")
    if scene.prepare:
        scene.prepare(book)
    run, here, last = 0, book, 0
    for command in PAGES[page]:
        words = command.words
        here = here if command.line == last + 1 and not command.mentioned else book
        last = command.line
        if command.mentioned and only_names(words):
            assert known(words), f"{page}:{command.line}: there is no `{words}`"
        elif words.partition("  #")[0].rstrip() not in NOT_RUN:
            run += 1
            if prepare := scene.before.get(run):
                prepare(book)
            if words.startswith("cd "):
                here /= words.removeprefix("cd ")
                assert here.is_dir(), f"{page}:{command.line}: there is no such folder"
            else:
                check(command, scene, book, here)


def check(command: Command, scene: Scene, book: Path, here: Path) -> None:
    """Run a command line as a reader does; hold its end and its answer against the page."""
    words, name = command.words, name_of(command.page)
    for placeholder, value in STANDS_FOR.items():
        words = re.sub(rf"(?<=\s){re.escape(placeholder)}(?=\s|$)", value, words)
    for begin, (options, _) in SHORTENED.items():
        words += f" {options}" if words.startswith(begin) else ""
    if words.startswith("buildbook serve"):
        serve(words, book)
        return
    if missing := next((p for p in ("sqlite3", "ssh-keygen") if needs(words, p)), None):
        assert missing
        return
    ended, said = scratch.shell(words, book, scene.typed.get(command.words, ""), here)
    expected, _ = ENDS_WITH.get((name, command.words), (0, ""))
    at = f"{command.page}:{command.line}: {words}"
    assert ended == expected, f"{at}\nended with {ended}:\n{said}"
    assert not (lack := unsaid(command.answer, said, masked=name in MASKED)), (
        f"{at}\ndoes not answer `{lack}` there, but\n{said}"
    )


def needs(words: str, program: str) -> bool:
    """Tell whether a line needs a program of the system that is not here."""
    wanted = words.startswith(program) or (program == "ssh-keygen" and "--key" in words)
    return wanted and not shutil.which(program)


def unsaid(shown: tuple[str, ...], said: str, *, masked: bool = False) -> str | None:
    """Return the first line shown that was not said in its place, or None."""
    real = [plain(line, masked) for line in said.splitlines()]
    at, anywhere = 0, False
    for line in shown:
        if line.strip() == "...":
            anywhere = True
            continue
        wanted = plain(line, masked)
        if not wanted and anywhere:
            continue
        found = real.index(wanted, at) if wanted in real[at:] else -1
        if found < 0 or (found != at and not anywhere):
            return line
        at, anywhere = found + 1, False
    return None if anywhere or at >= len(real) or not shown else f"nothing more than {shown[-1]}"


def plain(line: str, masked: bool) -> str:
    return re.sub(r"\d[\d.,]*", "#", line.rstrip()) if masked else line.rstrip()


def serve(words: str, book: Path) -> None:
    """Start a server, ask it for its first page, and stop it as Ctrl-C does."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    host = "0.0.0.0" if "0.0.0.0" in words else "127.0.0.1"  # as the page shows it
    server = subprocess.Popen(
        ["/bin/sh", "-c", f"exec {words} --address {host}:{port}"],
        cwd=book,
        env=scratch.surroundings(book),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    try:
        page = ask(f"http://127.0.0.1:{port}/index.html", server)
        assert b"<html" in page
    finally:
        server.send_signal(signal.SIGINT)
        server.communicate(timeout=scratch.WAIT)
    assert server.returncode in (0, 2, -signal.SIGINT)


def ask(address: str, server: subprocess.Popen[bytes]) -> bytes:
    """Ask again until somebody answers."""
    end = time.monotonic() + scratch.WAIT
    while time.monotonic() < end and server.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=scratch.WAIT) as answer:
                return answer.read()
        except urllib.error.URLError:
            time.sleep(0.2)
    pytest.fail(f"nobody answers: {server.communicate()[1].decode()}")


def only_names(words: str) -> bool:
    """Tell whether a mention names a command, without anything for it to do."""
    return all(re.fullmatch(r"[a-z-]+", word) for word in words.split()) and known(words)


def known(words: str) -> bool:
    """Tell whether there is a command of these names."""
    return words == "buildbook" or words.removeprefix("buildbook ") in command_names()


def test_a_wrong_answer_is_found():
    said = "1 error\n2 sessions read\n"
    assert unsaid(("1 error", "2 sessions read"), said) is None
    assert unsaid(("...", "2 sessions read"), said) is None
    assert unsaid(("1 error", "..."), said) is None
    assert unsaid(("2 sessions read",), said) == "2 sessions read"
    assert unsaid(("1 error",), said)
    assert unsaid(("9 errors", "9 sessions read"), said, masked=True) == "9 errors"


@pytest.mark.parametrize("line", NOT_RUN)
def test_what_is_not_run_is_still_shown_somewhere(line):
    shown = {c.words.partition("  #")[0].rstrip() for p in page_names() for c in commands(p)}
    assert line in shown


@pytest.mark.parametrize(("name", "words"), ENDS_WITH)
def test_what_ends_otherwise_is_still_shown(name, words):
    assert words in {c.words for p, found in PAGES.items() if name_of(p) == name for c in found}
