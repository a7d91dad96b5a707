"""Nothing in the documentation that could be run or read escapes the tests beside this one."""

import pytest
from markdown_pages import LANGUAGES, blocks, made_pages, page_names


@pytest.mark.parametrize("page", page_names())
def test_every_block_says_what_it_is(page):
    wrong = [
        f"{block.at}: {block.language or 'no language'}"
        for block in blocks(page)
        if block.language not in LANGUAGES
    ]
    assert not wrong, "write ```yaml, ```console, ```sh, ```text or ```markdown"


@pytest.mark.parametrize("page", [*page_names(), *(f"docs/{p}" for p in made_pages())])
def test_every_sample_says_where_it_belongs(page):
    wrong = [b.at for b in blocks(page) if b.language in ("yaml", "markdown") and not b.title]
    assert not wrong, 'write ```yaml title="content/lots.yml" or title="in a session"'
