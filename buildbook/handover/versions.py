"""Asking git: about the version history of a folder of records, and without running a thing.

A book may come from anybody, and git runs commands that its settings name. So none of them is
heeded that could start a program or reach another computer, and nothing is ever written.
"""

import os
import subprocess
from pathlib import Path

TIMEOUT = 60
"""Seconds after which git is given up."""

_SAFE = (
    "core.fsmonitor=false",
    f"core.hooksPath={os.devnull}",
    f"core.attributesFile={os.devnull}",
    "core.pager=cat",
    "core.sshCommand=false",
    "core.askPass=",
    "credential.helper=",
    "diff.external=",
    "diff.ignoreSubmodules=all",
    "log.showSignature=false",
    "log.follow=false",
    "log.showRoot=true",
    "gpg.program=false",
    "protocol.allow=never",
    "submodule.recurse=false",
    "uploadpack.packObjectsHook=",
)
"""Settings of a repository that could start a program or fetch something, made harmless."""
_LOG = (
    "log",
    "--format=format:%x01%ct",
    "--name-status",
    "-z",
    "--relative",
    "--find-renames",
    "-l2000",
    "--no-ext-diff",
    "--no-textconv",
    "--no-show-signature",
    "--no-mailmap",
    "--no-color",
    "--ignore-submodules=all",
    "--end-of-options",
)


class NoHistoryError(Exception):
    """There is no history that could show it; the message says why, in a sentence."""


def commit_of(content: Path) -> str:
    """Name the commit a content folder stands at; empty where there is no history to read."""
    try:
        return where(content)
    except NoHistoryError:
        return ""


def where(content: Path) -> str:
    """Name the commit a folder stands at. Raises NoHistoryError."""
    said = _git(content, "rev-parse", "--is-shallow-repository", "--verify", "HEAD^{commit}")
    shallow, _, commit = said.decode().strip().partition("\n")
    if shallow == "true":
        raise NoHistoryError(
            "only the last part of the version history is here (a shallow copy), so when a record "
            "was first written cannot be told from it"
        )
    return commit


def log(content: Path, commit: str) -> bytes:
    """Give every change of every file below a folder up to a commit, newest first, as git says it.

    Raises NoHistoryError.
    """
    return _git(content, *_LOG, commit, "--", ".")


def _git(content: Path, *command: str) -> bytes:
    """Run git in a folder. Raises NoHistoryError with what is in the way."""
    settings = [word for setting in _SAFE for word in ("-c", setting)]
    env = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    env |= {
        "GIT_CONFIG_NOSYSTEM": "1",
        "GIT_OPTIONAL_LOCKS": "0",
        "GIT_TERMINAL_PROMPT": "0",
        "GIT_NO_LAZY_FETCH": "1",
        "GIT_ALLOW_PROTOCOL": "none",
        "GIT_LITERAL_PATHSPECS": "1",
        "GIT_NO_REPLACE_OBJECTS": "1",
        "GIT_ATTR_NOSYSTEM": "1",
        "LC_ALL": "C",
    }
    try:
        done = subprocess.run(  # noqa: S603 - no shell, and nothing of the book in the command
            ["git", "--no-pager", "-C", str(content.resolve()), *settings, *command],  # noqa: S607
            env=env,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=TIMEOUT,
            check=False,
        )
    except FileNotFoundError:
        raise NoHistoryError("the program git is not on this computer") from None
    except subprocess.TimeoutExpired:
        raise NoHistoryError(f"git did not answer within {TIMEOUT} seconds") from None
    except OSError as error:
        raise NoHistoryError(f"git cannot be started: {error.strerror}") from None
    if done.returncode:
        raise NoHistoryError(_why(done.stderr.decode(errors="replace")))
    return done.stdout


def _why(said: str) -> str:
    if "not a git repository" in said:
        return "the book is not kept in a version history"
    if "dubious ownership" in said:
        return "the version history belongs to another user, so git does not read it"
    if "Needed a single revision" in said or "unknown revision" in said:
        return "nothing was committed yet"
    return "git cannot read the version history"
