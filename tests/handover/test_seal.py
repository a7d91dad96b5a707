"""Seals: what is sealed, what shows when something changes, and seals that were tampered with."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sites import BASE

from buildbook.cli.seal import seal as seal_command
from buildbook.cli.seal import verify as verify_command
from buildbook.handover.seal import NoSealError, compare, files_in, make, read_seal
from buildbook.records.read import read

SESSION = (
    "date: 2025-03-08\nstep: fin/skeleton\nhours: 2h30\nphotos: {file: 03/a.jpg, caption: A}\n"
)


def lay_out(folder: Path) -> Path:
    content = folder / "content"
    files: dict[str, str | bytes] = {
        **BASE,
        "sessions/2025-03-08.yml": SESSION,
        "sessions/2025-04-01.yml": SESSION.replace("03-08", "04-01").replace("03/a", "04/b"),
        "photos/03/a.jpg": b"\xff\xd8 not much of a picture",
        "photos/04/b.jpg": b"\xff\xd8 another",
        "photos/loose.jpg": b"\xff\xd8 loose",
        "lots.yml": "- {lot: one, title: One}\n- {lot: two, title: Two}\n",
        "about.md": "# About\n",
    }
    for name, text in files.items():
        path = content / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return content


@pytest.fixture
def content(tmp_path: Path) -> Path:
    return lay_out(tmp_path)


def test_every_file_is_sealed_once_and_under_its_month(content: Path) -> None:
    seal = read_seal(make(read(content)))
    assert seal.faults == []
    assert [part.name for part in seal.parts] == ["2025-03", "2025-04", "not of one month"]
    assert list(seal.parts[0].files) == ["photos/03/a.jpg", "sessions/2025-03-08.yml"]
    assert "photos/loose.jpg" in seal.parts[2].files
    assert sorted(seal.files) == sorted(files_in(content))


def test_the_same_records_make_the_same_seal(content: Path, tmp_path: Path) -> None:
    again = tmp_path / "again"
    again.mkdir()
    copy = lay_out(again)
    for path in sorted(copy.rglob("*"), reverse=True):
        os.utime(path, (1, 1))
    assert make(read(content)) == make(read(copy))


def test_months_gone_by_keep_their_digests(content: Path) -> None:
    before = read_seal(make(read(content)))
    (content / "sessions" / "later.yml").write_text(SESSION.replace("2025-03-08", "2025-05-01"))
    (content / "people.yml").write_text("- {person: ada, name: Ada}\n")
    after = read_seal(make(read(content)))
    assert [p.digest for p in after.parts[:2]] == [p.digest for p in before.parts[:2]]
    assert after.digest != before.digest


def test_what_is_hidden_or_outside_is_not_sealed(content: Path) -> None:
    (content / ".secret.yml").write_text("x")
    (content / "__pycache__").mkdir()
    (content / "__pycache__" / "x.yml").write_text("x")
    (content / "out.md").symlink_to("/etc/hostname")
    (content / "loop").symlink_to(content)
    (content / "inside.md").symlink_to(content / "about.md")
    found = set(files_in(content))
    assert "inside.md" in found
    assert not found & {".secret.yml", "__pycache__/x.yml", "out.md"}
    assert not any(name.startswith("loop") for name in found)


def test_exactly_what_changed_is_told(content: Path) -> None:
    seal = read_seal(make(read(content)))
    session = content / "sessions" / "2025-03-08.yml"
    session.write_text(SESSION.replace("2h30", "5h30"))
    (content / "photos" / "loose.jpg").unlink()
    (content / "about.md").rename(content / "about-us.md")
    (content / "new.md").write_text("# New\n")
    (content / "lots.yml").write_text(
        "- {lot: three, title: Three}\n- {lot: two, title: Two}\n- {lot: one, title: Won}\n"
    )
    found = compare(seal, read(content))
    assert found.changed == (
        ("lots.yml", ("lot one changed", "lot three is new")),
        ("sessions/2025-03-08.yml", ()),
    )
    assert found.removed == ("photos/loose.jpg",)
    assert found.moved == (("about.md", "about-us.md"),)
    assert found.added == ("new.md",)


def test_a_list_laid_out_otherwise_says_the_same(content: Path) -> None:
    seal = read_seal(make(read(content)))
    (content / "lots.yml").write_text(
        "# Ours.\n- title: Two\n  lot: two\n- {lot: one, title: One}\n"
    )
    [(name, told)] = compare(seal, read(content)).changed
    assert name == "lots.yml"
    assert told == ("its records say the same; comments, order or line breaks changed",)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(st.data())
def test_any_byte_of_a_seal_that_is_changed_shows(tmp_path_factory, data) -> None:
    folder = tmp_path_factory.getbasetemp() / "sealed"
    content = folder / "content" if folder.exists() else lay_out(folder)
    made = make(read(content))
    at = data.draw(st.integers(0, len(made) - 1))
    other = data.draw(st.integers(0, 255).filter(lambda b: b != made[at]))
    broken = made[:at] + bytes([other]) + made[at + 1 :]
    try:
        found = read_seal(broken)
    except NoSealError:
        return
    assert found.faults or found.digest != read_seal(made).digest


@pytest.mark.parametrize("cut", [10, 1, 67, 500])
def test_a_seal_that_is_cut_short_shows(content: Path, cut: int) -> None:
    made = make(read(content))
    assert read_seal(made[:-cut]).faults or cut == 1


@pytest.mark.parametrize("raw", [b"", b"hello\n", b"\x00" * 50, b"# buildbook seal, format 2\n"])
def test_what_is_no_seal(raw: bytes) -> None:
    with pytest.raises(NoSealError):
        read_seal(raw)


# The commands.


def run(content: Path, *words: str) -> Result:
    command = {"seal": seal_command, "verify": verify_command}[words[0]]
    return CliRunner().invoke(command, [*words[1:], "--content", str(content)])


def test_sealed_and_verified(content: Path, tmp_path: Path) -> None:
    file = tmp_path / "seal.txt"
    made = run(content, "seal", "--to", str(file))
    assert made.exit_code == 0, made.output
    digest = read_seal(file.read_bytes()).digest
    assert f"seal {digest}" in made.output
    done = run(content, "verify", str(file), "--seal", f"# seal {digest}")
    assert done.exit_code == 0, done.output
    assert "is whole" in done.output
    assert "0 changed, 0 gone, 0 renamed, 0 came since" in done.output


def test_what_came_since_is_no_fault(content: Path, tmp_path: Path) -> None:
    file = tmp_path / "seal.txt"
    run(content, "seal", "--to", str(file))
    (content / "new.md").write_text("# New\n")
    done = run(content, "verify", str(file))
    assert (done.exit_code, "came since: new.md" in done.output) == (0, True)
    (content / "about.md").write_text("# Rewritten\n")
    done = run(content, "verify", str(file))
    assert (done.exit_code, "changed: about.md" in done.output) == (1, True)


def test_another_seal_than_the_printed_one(content: Path, tmp_path: Path) -> None:
    """Who changes records and seals them anew has a sound seal, and another last line."""
    file = tmp_path / "seal.txt"
    run(content, "seal", "--to", str(file))
    printed = read_seal(file.read_bytes()).digest
    (content / "about.md").write_text("# Rewritten\n")
    run(content, "seal", "--to", str(file), "--force")
    assert run(content, "verify", str(file)).exit_code == 0
    done = run(content, "verify", str(file), "--seal", printed)
    assert done.exit_code == 1
    assert "another than the one given" in done.output


def test_an_edited_seal_says_which_part(content: Path, tmp_path: Path) -> None:
    file = tmp_path / "seal.txt"
    run(content, "seal", "--to", str(file))
    text = file.read_text()
    line = next(ln for ln in text.split("\n") if ln.endswith("sessions/2025-04-01.yml"))
    file.write_text(text.replace(line, "0" * 64 + line[64:]))
    done = run(content, "verify", str(file))
    assert done.exit_code == 1
    assert "the lines of 2025-04 do not add up to its digest" in done.output
    file.write_text(text.replace("\n", "\r\n"), newline="")
    assert "line ends were changed" in run(content, "verify", str(file)).output


def test_faults_in_a_sentence(content: Path, tmp_path: Path) -> None:
    file = tmp_path / "seal.txt"
    none = run(content, "verify", str(file))
    assert none.exit_code == 2
    assert "cannot be read: No such file" in none.output
    file.write_text("hello\n")
    assert "is not a seal" in run(content, "verify", str(file)).output
    there = run(content, "seal", "--to", str(file))
    assert (there.exit_code, "is there already" in there.output) == (2, True)
    assert file.read_text() == "hello\n"
    inside = run(content, "seal", "--to", str(content / "seal.txt"))
    assert (inside.exit_code, "is among the records" in inside.output) == (2, True)


needs_ssh = pytest.mark.skipif(not shutil.which("ssh-keygen"), reason="no ssh-keygen")


@needs_ssh
def test_signed(content: Path, tmp_path: Path) -> None:
    key = tmp_path / "key"
    subprocess.run(
        ["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(key)], check=True
    )
    file = tmp_path / "seal.txt"
    done = run(content, "seal", "--to", str(file), "--key", str(key))
    assert done.exit_code == 0, done.output
    shown = subprocess.run(
        ["ssh-keygen", "-l", "-f", f"{key}.pub"], capture_output=True, text=True, check=True
    )
    fingerprint = shown.stdout.split()[1]
    assert fingerprint in done.output
    assert fingerprint in run(content, "verify", str(file)).output
    # The signature is one that ssh-keygen itself accepts of this signer.
    signers = tmp_path / "signers"
    signers.write_text(f"builder@example.org {key.with_suffix('.pub').read_text()}")
    checked = subprocess.run(
        f"ssh-keygen -Y verify -f {signers} -I builder@example.org".split()
        + f"-n buildbook-seal -s {file}.sig".split(),
        input=file.read_bytes(),
        capture_output=True,
        check=False,
    )
    assert checked.returncode == 0, checked.stderr
    file.write_bytes(file.read_bytes().replace(b"2025-03-08", b"2025-03-09"))
    done = run(content, "verify", str(file))
    assert done.exit_code == 1
    assert "the signature seal.txt.sig is not one of this file" in done.output


@needs_ssh
def test_a_key_that_is_none(content: Path, tmp_path: Path) -> None:
    key = tmp_path / "key"
    file = tmp_path / "seal.txt"
    done = run(content, "seal", "--to", str(file), "--key", str(key))
    assert (done.exit_code, f"there is no key {key}" in done.output) == (2, True)
    key.write_text("not a key\n")
    done = run(content, "seal", "--to", str(file), "--key", str(key))
    assert (done.exit_code, "does not sign" in done.output) == (2, True)
    assert not file.exists()
