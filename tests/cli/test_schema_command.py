"""`buildbook schema`: files for the editor."""

import json
from pathlib import Path

from click.testing import CliRunner

from buildbook.cli.schema import schema
from buildbook.records.kinds import KINDS


def test_writes_one_file_a_kind(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    result = CliRunner().invoke(schema, [str(folder)])
    assert result.exit_code == 0
    assert sorted(p.name for p in folder.iterdir()) == sorted(f"{name}.json" for name in KINDS)
    for path in folder.iterdir():
        assert json.loads(path.read_text(encoding="utf-8"))["$schema"]
        assert path.stat().st_mode & 0o777 == 0o644


def test_writes_again_over_what_it_wrote(tmp_path: Path) -> None:
    (tmp_path / "people.json").write_text("old")
    assert CliRunner().invoke(schema, [str(tmp_path)]).exit_code == 0
    assert "Person" in (tmp_path / "people.json").read_text(encoding="utf-8")


def test_prints_one() -> None:
    result = CliRunner().invoke(schema, ["--print", "sessions"])
    assert result.exit_code == 0
    assert json.loads(result.output)["title"] == "buildbook: sessions"


def test_an_unknown_kind() -> None:
    assert CliRunner().invoke(schema, ["--print", "session"]).exit_code == 2


def test_a_file_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    result = CliRunner().invoke(schema, [str(tmp_path / "file")])
    assert result.exit_code == 2
    assert "cannot write into" in result.output
