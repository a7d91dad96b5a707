"""The page of lessons: all of them, found by operation and by part."""

from collections import defaultdict
from dataclasses import dataclass

from buildbook.pages import paths
from buildbook.pages.context import Context
from buildbook.pages.page import Link, Page, SearchEntry
from buildbook.pages.prose import plain_text
from buildbook.pages.views import LessonView
from buildbook.pages.words import say


@dataclass(frozen=True, slots=True)
class LessonsView:
    """Template `lessons.html`."""

    lessons: tuple[LessonView, ...]
    by_operation: tuple[tuple[Link, tuple[Link, ...]], ...]
    by_part: tuple[tuple[Link, tuple[Link, ...]], ...]


def lessons_page(context: Context) -> Page:
    """Lay out the page of lessons."""
    book = context.book
    by_operation: dict[str, list[Link]] = defaultdict(list)
    by_part: dict[str, list[Link]] = defaultdict(list)
    numbers = sorted(book.lessons)
    for number in numbers:
        lesson = book.lessons[number]
        for operation in lesson.operations:
            by_operation[operation].append(context.lesson_link(number))
        for part in lesson.parts:
            by_part[part].append(context.lesson_link(number))
    lessons = tuple(map(context.lesson, numbers))
    view = LessonsView(
        lessons,
        tuple(
            (context.operation_link(o), tuple(by_operation[o]))
            for o in book.operations
            if o in by_operation
        ),
        tuple((context.part_link(p), tuple(by_part[p])) for p in book.parts if p in by_part),
    )
    entries = [SearchEntry(say("Lessons"), say("Lessons learned, by operation and by part"))]
    entries += [
        SearchEntry(
            say(
                "Lesson %(number)s: %(title)s", number=lesson.number, title=plain_text(lesson.title)
            ),
            plain_text(lesson.text),
            f"lesson-{lesson.number}",
        )
        for lesson in lessons
    ]
    return Page(
        paths.LESSONS, say("Lessons"), "lessons.html", view, entries, frozenset(), listed=True
    )
