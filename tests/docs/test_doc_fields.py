"""The pages about records tell every field of every model, and what the models say of it."""

import re

import pytest
from markdown_pages import made_hazards, made_pages

from buildbook.cli.main import COMMANDS
from buildbook.records.kinds import KINDS
from buildbook.records.record import Record, record_in, spaced
from buildbook.reference.hazards import HAZARDS


def models_of(model: type[Record]) -> set[type[Record]]:
    """Find a model and all that its fields hold, without the code that makes the pages."""
    found, waiting = set(), [model]
    while waiting:
        one = waiting.pop()
        if one not in found:
            found.add(one)
            inner = (record_in(info.annotation) for info in one.model_fields.values())
            waiting += filter(None, inner)
    return found


def table_of(page: str, model: type[Record], kind: type[Record]) -> dict[str, str]:
    """Return the rows about a model, by the field's name."""
    if model is not kind:
        words = re.sub("(?<!^)(?=[A-Z])", " ", model.__name__).capitalize()
        page = page[page.index(f"## {words} {{") :]
        page = page[: page.find("\n## ", 3)] if "\n## " in page[3:] else page
    elif "\n## " in page:
        page = page[: page.index("\n## ")]
    rows = re.findall(r"^\| `([^`]+)`(.*)\|$", page, re.MULTILINE)
    return dict(rows)


@pytest.mark.parametrize("name", KINDS)
def test_every_field_of_every_model(name):
    kind = KINDS[name].model
    page = made_pages()[f"records/{name}.md"]
    models = models_of(kind)
    assert kind in models
    for model in models:
        rows = table_of(page, model, kind)
        fields = {
            info.alias or spaced(attribute): info
            for attribute, info in model.model_fields.items()
            if attribute not in ("private", "place")
        }
        assert rows.keys() == fields.keys(), f"{name}: {model.__name__}"
        for field, info in fields.items():
            said = rows[field].replace("\\|", "|")
            described = (info.description or "").replace("<", "&lt;").replace(">", "&gt;")
            assert described
            assert described.replace("\n", " ") in said, f"{model.__name__}.{field}"
            assert ("**(needed)**" in said) == info.is_required(), f"{model.__name__}.{field}"
            takes = said.split(" | ")[-1].strip()
            assert takes, f"{model.__name__}.{field} takes what?"


@pytest.mark.parametrize("name", KINDS)
def test_what_a_field_takes_is_in_words(name):
    page = made_pages()[f"records/{name}.md"]
    assert not re.search(r"\$ref|\$defs|\{[\"']|\\b|\(\?", page)
    assert "{today}" not in page


def test_every_command_is_told():
    page = made_pages()["commands.md"]
    for command in COMMANDS:
        assert f"\n## buildbook {command} {{" in page
        assert f"Usage: buildbook {command} " in page
    assert "Usage: buildbook photos contact-sheet " in page


def test_every_hazard_is_told():
    page = made_hazards()
    for hazard in HAZARDS.values():
        assert all(sentence in page for sentence in hazard.sentences)
        assert all(source.document in page for source in hazard.sources)
