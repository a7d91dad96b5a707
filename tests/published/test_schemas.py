"""The JSON Schemas, against JSON Schema Draft 2020-12 and the `jsonschema` package.

Files are parsed as an editor parses them: by the core schema of YAML 1.2.2 (10.3.2), in which
only `true` and `false` are booleans, `010` is ten, and times and dates are text.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from buildbook.cli.init import starter_files
from buildbook.records.kinds import KINDS, kind_of
from buildbook.records.schema import schemas

ROOT = Path(__file__).parents[2]
BASE = ROOT / "tests" / "records" / "base"
DEMO = ROOT / "content"


class Core(yaml.CSafeLoader):
    """Values by the core schema of YAML 1.2.2, 10.3.2."""


Core.yaml_implicit_resolvers = {}
for tag, pattern, first in (
    ("null", r"null|Null|NULL|~|", "nN~\0"),
    ("bool", r"true|True|TRUE|false|False|FALSE", "tTfF"),
    ("int", r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+", "-+0123456789"),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", "-+.0123456789"),
):
    Core.add_implicit_resolver(  # type: ignore[no-untyped-call]
        f"tag:yaml.org,2002:{tag}",
        re.compile(rf"^(?:{pattern})$"),
        [*first, *([""] if tag == "null" else [])],
    )
Core.add_constructor("tag:yaml.org,2002:int", lambda c, n: int(c.construct_scalar(n), 10))
Core.add_constructor("tag:yaml.org,2002:float", lambda c, n: float(c.construct_scalar(n)))


def parse(text: str) -> Any:
    return yaml.load(text, Loader=Core)


@pytest.fixture(scope="module", params=sorted(KINDS))
def schema(request: pytest.FixtureRequest) -> dict[str, Any]:
    return schemas()[request.param]


def test_is_a_schema(schema: dict[str, Any]) -> None:
    assert schema["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    Draft202012Validator.check_schema(schema)


def test_every_field_has_a_description(schema: dict[str, Any]) -> None:
    for name, record in schema["$defs"].items():
        assert record["description"], name
        for field, content in record["properties"].items():
            assert content.get("description"), f"{name}: {field}"


def test_no_field_goes_unnoticed(schema: dict[str, Any]) -> None:
    assert all(record["additionalProperties"] is False for record in schema["$defs"].values())


def files(folder: Path) -> Iterator[Any]:
    for path in sorted(folder.rglob("*.yml")):
        name = path.relative_to(folder).as_posix()
        if kind := kind_of(name):
            yield pytest.param(kind.name, path, id=f"{folder.name}/{name}")


def misfits(kind: str, text: str) -> list[str]:
    errors = Draft202012Validator(schemas()[kind]).iter_errors(parse(text))
    return [f"{e.json_path}: {e.message}" for e in errors]


@pytest.mark.parametrize(("kind", "path"), [*files(BASE), *files(DEMO)])
def test_good_files_fit(kind: str, path: Path) -> None:
    assert misfits(kind, path.read_text(encoding="utf-8")) == []


def test_the_book_to_start_from_fits() -> None:
    for name, text in starter_files():
        if name.endswith(".yml") and (kind := kind_of(name.removeprefix("content/"))):
            assert misfits(kind.name, text) == [], name


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("people", "person: ada\nname: Ada\nrole: chief\n"),
        ("people", "person: Ada Fenn\nname: Ada\n"),
        ("people", "- person: ada\n- name: Ben\n"),
        ("people", "- person: ada\n  name: Ada\n  colour: green\n"),
        ("people", "just a text\n"),
        ("book", "- title: A list\n"),
        ("book", "title: T\naircraft: {model: M}\nbuilder: a\ntime zone: UTC\ncurrency: e\n"),
        ("sessions", "date: 8.3.2025\nstep: fin/skeleton\n"),
        ("sessions", "step: fin/skeleton\nhours: 2\n"),
        ("sessions", "date: 2025-03-08\nstep: skeleton\n"),
        ("sessions", "date: 2025-03-08\nstep: fin/skeleton\nhours: some\n"),
        ("sessions", "date: 2025-03-08\nstep: fin/skeleton\nhours: -2\n"),
        ("sessions", "date: 2025-03-08\nstep: fin/skeleton\nfrom: nine\nto: ten\n"),
        ("sessions", "date: 2025-03-08\nstep: fin/skeleton\nfinished: perhaps\n"),
        (
            "sessions",
            "date: 2025-03-08\nstep: fin/skeleton\nair: {temperature: 17, humidity: 55 %}\n",
        ),
        ("sessions", "date: 2025-03-08\nstep: fin/skeleton\nphotos: [{file: a.jpg}]\n"),
        ("sessions", "date: 2025-03-08\nwork: [{step: fin/skeleton, hour: 2}]\n"),
        ("parts", "part: FN 01\nname: Spar\n"),
        ("parts", "part: FN-01\nname: Spar\nthickness: 0.032\n"),
        ("parts", "part: FN-01\nname: Spar\nquantity: 9999\n"),
        ("parts", "part: FN-01\nname: Spar\nhand: port\n"),
        ("lessons", "lesson: first\ntitle: T\n"),
        ("weighings", "date: 2025-11-01\ndatum: D\nscales: []\n"),
        (
            "squawks",
            "squawk: 1\ntitle: T\ndisposition: {decision: scrap, date: 2025-01-01, by: a}\n",
        ),
    ],
)
def test_broken_files_do_not_fit(kind: str, text: str) -> None:
    assert not Draft202012Validator(schemas()[kind]).is_valid(parse(text))
