"""SSH signatures of a file, by the `ssh-keygen` that comes with most systems."""

import re
import subprocess
from pathlib import Path

NAMESPACE = "buildbook-seal"
"""What a signature is for: one made for something else is none of a seal."""
ENDING = ".sig"


class CannotSignError(Exception):
    """It could not be signed, or the signature does not hold; the message says why."""


def sign(data: bytes, key: Path) -> bytes:
    """Sign with a private key, or with a public one whose private key an agent holds.

    Raises CannotSignError.
    """
    if not key.is_file():
        raise CannotSignError(f"there is no key {key}")
    done = _run(["-Y", "sign", "-n", NAMESPACE, "-f", str(key)], data)
    if done.returncode or not done.stdout.startswith(b"-----BEGIN SSH SIGNATURE-----"):
        raise CannotSignError(f"{key} does not sign: {_last_line(done.stderr)}")
    return done.stdout


def signed_by(data: bytes, signature: Path) -> str:
    """Check a signature, and name the key that made it, as `ED25519 key SHA256:...`.

    Whose key that is, only who gave it out can say. Raises CannotSignError when it does not hold.
    """
    done = _run(["-Y", "check-novalidate", "-n", NAMESPACE, "-s", str(signature)], data)
    found = re.search(r"signature with (\S+ key SHA256:\S+)", done.stdout.decode(errors="replace"))
    if done.returncode or not found:
        raise CannotSignError(f"the signature {signature.name} is not one of this file")
    return found[1]


def _run(words: list[str], data: bytes) -> "subprocess.CompletedProcess[bytes]":
    try:
        return subprocess.run(  # noqa: S603 - no shell
            ["ssh-keygen", *words],  # noqa: S607 - the system's own
            input=data,
            capture_output=True,
            check=False,
        )
    except FileNotFoundError:
        raise CannotSignError("the program ssh-keygen is not on this computer") from None
    except OSError as error:
        raise CannotSignError(f"ssh-keygen cannot be started: {error.strerror}") from None


def _last_line(said: bytes) -> str:
    lines = said.decode(errors="replace").strip().splitlines()
    return lines[-1].strip() if lines else "ssh-keygen does not say why"
