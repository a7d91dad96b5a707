"""Lessons that apply: found again before the same work is done again."""

from collections import defaultdict

from buildbook.records.book import Book


def lessons_for_steps(book: Book) -> dict[str, tuple[int, ...]]:
    """Tell which lessons apply to each step, by number.

    A lesson applies to a step it names. Where it names parts or operations, it applies to a step
    that works on one of those parts by one of those operations: what it does not name does not
    narrow it. A lesson that names nothing applies nowhere by itself.
    """
    by_part: dict[str, set[str]] = defaultdict(set)
    by_operation: dict[str, set[str]] = defaultdict(set)
    for name, step in book.steps.items():
        for part in step.parts:
            by_part[part].add(name)
        for operation in book.operations_of(step):
            by_operation[operation].add(name)
    lessons: dict[str, list[int]] = {name: [] for name in book.steps}
    for number, lesson in sorted(book.lessons.items()):
        steps = set(lesson.steps)
        about = [
            set[str]().union(*(index[key] for key in keys if key in index))
            for index, keys in ((by_part, lesson.parts), (by_operation, lesson.operations))
            if keys
        ]
        if about:
            steps |= set.intersection(*about)
        for name in steps & lessons.keys():
            lessons[name].append(number)
    return {name: tuple(numbers) for name, numbers in lessons.items()}
