"""Questions at the terminal, with completion; whatever is typed is kept while it is typed.

The library that draws them is loaded at the first question.
"""

import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.cli.errors import CannotRunError

if TYPE_CHECKING:
    from prompt_toolkit.completion import Completer
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
    from prompt_toolkit.validation import Validator

Choices = Callable[[], Iterable[tuple[str, str]]]
"""Gives the words offered, each with what it means."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question."""

    name: str
    """Under which the answer is kept."""
    words: str
    check: Callable[[str], str] = lambda _: ""
    """Says what is wrong with an answer; nothing when it can be taken."""
    choices: Choices = tuple
    several: bool = False
    """Several words may be given, with commas between them."""
    long: bool = False
    """It may have several lines; an empty one ends it."""


def at_terminal() -> bool:
    """Tell whether somebody is there to answer."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def ask(question: Question, default: str = "", typed: Callable[[str], None] | None = None) -> str:
    """Ask, and ask again until the answer can be taken. `typed` is told every change of the text.

    Raises CannotRunError when nobody is there to answer, KeyboardInterrupt at Ctrl-C and EOFError
    at Ctrl-D.
    """
    from prompt_toolkit import PromptSession  # noqa: PLC0415 - slow to load

    if not at_terminal():
        raise CannotRunError(f"nobody is at the terminal to answer `{question.words}`")
    session: PromptSession[str] = PromptSession(
        completer=_completer(question),
        validator=_validator(question),
        validate_while_typing=False,
        multiline=question.long,
        key_bindings=_keys(question),
    )
    if typed:
        session.default_buffer.on_text_changed += lambda buffer: typed(buffer.text)
    return session.prompt(f"{question.words} ", default=default).strip()


def yes(words: str, *, default: bool = True) -> bool:
    """Ask for yes or no. Raises what `ask` raises."""

    def check(answer: str) -> str:
        known = ("", "y", "yes", "n", "no")
        return "" if answer.casefold() in known else "answer `y` for yes or `n` for no"

    answer = ask(Question("yes", f"{words} [{'Y/n' if default else 'y/N'}]", check)).casefold()
    return answer.startswith("y") if answer else default


def offered(question: Question, text: str) -> Iterator[tuple[str, str, str]]:
    """Yield what completes the text before the cursor: the part it replaces, word and meaning.

    Words that start with what is typed come first, as steps do whose own name starts with it;
    then those that hold it, or mean it.
    """
    part = (text.rpartition(",")[2] if question.several else text).lstrip()
    sought = part.casefold()
    found = [
        (f"/{sought}" not in f"/{word.casefold()}", word, meaning)
        for word, meaning in question.choices()
        if sought in word.casefold() or (sought and sought in meaning.casefold())
    ]
    for _, word, meaning in sorted(found, key=lambda f: f[0]):
        yield part, word, meaning


def _completer(question: Question) -> "Completer":
    from prompt_toolkit.completion import (  # noqa: PLC0415
        CompleteEvent,
        Completer,
        Completion,
    )
    from prompt_toolkit.document import Document  # noqa: PLC0415

    class Words(Completer):
        def get_completions(self, document: Document, _: CompleteEvent) -> Iterator[Completion]:
            for part, word, meaning in offered(question, document.text_before_cursor):
                yield Completion(word, -len(part), display_meta=meaning)

    return Words()


def _validator(question: Question) -> "Validator":
    from prompt_toolkit.document import Document  # noqa: PLC0415
    from prompt_toolkit.validation import ValidationError, Validator  # noqa: PLC0415

    class Check(Validator):
        def validate(self, document: Document) -> None:
            if wrong := question.check(document.text.strip()):
                raise ValidationError(len(document.text), wrong)

    return Check()


def _keys(question: Question) -> "KeyBindings":
    from prompt_toolkit.key_binding import KeyBindings  # noqa: PLC0415

    keys = KeyBindings()

    @keys.add("tab")
    def _(event: "KeyPressEvent") -> None:
        buffer = event.current_buffer
        found = list(offered(question, buffer.document.text_before_cursor))
        if len(found) == 1:
            [(part, word, _)] = found
            buffer.cancel_completion()
            buffer.delete_before_cursor(len(part))
            buffer.insert_text(word)
        elif buffer.complete_state:
            buffer.complete_next()
        else:
            buffer.start_completion(select_first=True)

    @keys.add("enter")
    def _(event: "KeyPressEvent") -> None:
        buffer = event.current_buffer
        if buffer.complete_state and buffer.complete_state.current_completion:
            buffer.complete_state = None  # it takes what is chosen, and waits for more
        elif question.long and buffer.document.current_line.strip():
            buffer.insert_text("\n")
        else:
            buffer.validate_and_handle()

    return keys
