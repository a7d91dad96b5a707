"""Makes a valid book of any size, always the same one for the same size and seed.

Run `python bench/make_book.py --sessions 2000 FOLDER`. The folder gets a `content` folder and a
`mkdocs.yml`. Everything else grows with the sessions as in a real build: a step for every 50, a
part number for every 15, a lesson and a squawk for every 50 and 80. A session's file is about
1.5 KB. Some pictures are shared by all books, whatever their size.
"""

import argparse
import random
import textwrap
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

LAST_DAY = date(2025, 6, 30)
DAYS_BETWEEN = 7 / 3
"""Three sessions a week, unless the book would then begin before anything flew."""
MOST_DAYS = 40_000
PICTURES = 6

ROUTE = ("inventory", "label", "deburr", "drill", "dimple", "prime", "rivet")
OPERATIONS = {
    "inventory": "Inventory",
    "label": "Label",
    "deburr": "Deburr",
    "straighten": "Straighten",
    "flute": "Flute",
    "drill": "Match-drill",
    "countersink": "Countersink",
    "dimple": "Dimple",
    "prime": "Prime",
    "rivet": "Rivet",
    "seal": "Seal",
    "torque": "Torque",
}
PEOPLE = ("ada", "bram", "cleo", "doran")
TOOLS = ("calipers", "height-gauge", "c-frame", "squeezer", "rivet-gun", "microstop", "hygrometer")
ASSEMBLIES = ("fin", "rudder", "stabiliser", "elevator", "frame", "wing", "flap", "aileron", "tank")
NAMES = ("rib", "spar", "stiffener", "skin", "doubler", "bracket", "clip", "angle", "stringer")

# The words of the notes: invented, and of the length and kind that builders write.
SENTENCES = (
    "Clamped the {part} to the bench and went over both edges with the file, then the pad.",
    "Every other hole of the {part} clecoed before drilling, the rest by eye.",
    "The {other} does not lie flat yet; two more flutes between the third and the fifth hole.",
    "Checked the pitch against the drawing, {n} holes, all inside the line.",
    "Edge distance is tight at the aft end and still twice the diameter.",
    "Took it all apart again and deburred what the drill had thrown up.",
    "It went quicker than last week, about {n} minutes a piece, counted over {m} of them.",
    "The male die belongs on the side of the manufactured head, and this time it was.",
    "Shop heads gauged on {n} rivets, none low, one a little to the side and left as it is.",
    "One hole came out egg-shaped where the bit had grabbed; opened to the next size by the plans.",
    "Degreased twice, wiped until the cloth stayed white, and not touched again without gloves.",
    "Air and metal were measured first, and the margin to the dew point was enough.",
    "As lesson {lesson} says, the marking goes on before the deburring takes it off.",
    "See {step} for how the pieces were held.",
    "The trailing edge was sighted along a taut string and shows less than a sheet's thickness.",
    "Bolts turned to the lower end of the range, run-on torque counted in, and painted across.",
    "The piece from the supplier was bent at one corner; straightened over the wooden block.",
    "Somebody bucked, somebody drove, and neither spoke except to say when to stop.",
    "Swept up, counted the clecos, and hung the part on the wall with its tag to the front.",
)
MARKED_UP = (
    "- edges of the {part}\n- holes of the {part} and the {other}\n- tags copied",
    "The **{other}** waits: it needs the *{n}* hole pattern of sheet {m} first.",
    "1. clamp\n2. measure\n3. drill\n4. measure again",
)
CLAUSES = ("drilled", "deburred", "fitted dry", "primed", "riveted", "measured", "put right")


@dataclass
class _Part:
    number: str
    name: str
    quantity: int
    done: dict[str, int] = field(default_factory=dict)
    """Pieces finished, by operation."""

    def finish(self, operation: str, *, all_of_them: bool) -> str:
        """Finish the next pieces and return them as a run; nothing when all are done."""
        done = self.done.get(operation, 0)
        share = self.quantity if all_of_them else max(1, self.quantity // 16)
        upto = self.done[operation] = min(self.quantity, done + share)
        if upto == done:
            return ""
        return f"{done + 1:02}" if upto == done + 1 else f"{done + 1:02} to {upto:02}"


@dataclass
class _Step:
    name: str
    """`section/step`."""
    title: str
    parts: list[_Part]


class _Maker:
    def __init__(self, sessions: int, seed: int) -> None:
        self.count = sessions
        self.random = random.Random(seed)
        self.steps: list[_Step] = []
        self.files: dict[str, str] = {}
        self.lessons = 0
        self.squawks = 0

    def make(self) -> dict[str, str]:
        """Return every file of the book: path in the content folder, and text."""
        self._plan()
        self._lists()
        between = min(DAYS_BETWEEN, MOST_DAYS / self.count)
        for n in range(self.count):
            day = LAST_DAY - timedelta(days=int((self.count - 1 - n) * between))
            at, operation = self._when(n)
            self._session(n, day, self.steps[at], operation, upto=self._when(n + 1))
        return self.files

    def _when(self, n: int) -> tuple[int, str]:
        """Return the step and the operation of a session: step by step, along the route."""
        at, rest = divmod(n * len(self.steps), self.count)
        return at, ROUTE[rest * len(ROUTE) // self.count]

    def _plan(self) -> None:
        steps, parts = max(2, self.count // 50), max(4, self.count // 15)
        sections = max(1, steps // 8)
        for at in range(sections):
            kind = ASSEMBLIES[at % len(ASSEMBLIES)]
            slug = kind if at < len(ASSEMBLIES) else f"{kind}-{at // len(ASSEMBLIES) + 1}"
            letters = chr(65 + at // 26 % 26) + chr(65 + at % 26)
            many = parts * (at + 1) // sections - parts * at // sections
            own = [self._part(letters, n + 1) for n in range(many)]
            mine = steps * (at + 1) // sections - steps * at // sections
            self.files[f"sections/{at:03}-{slug}.yml"] = self._section(slug, own, mine, at)
            self.files[f"parts/{slug}.yml"] = "".join(map(self._part_text, own))

    def _part(self, letters: str, n: int) -> _Part:
        where = self.random.choice(("Front", "Rear", "Upper", "Nose"))
        name = f"{where} {self.random.choice(NAMES)}"
        return _Part(f"{letters}-{n:03}", name, self.random.choice((2, 4, 8, 16, 24)))

    def _part_text(self, part: _Part) -> str:
        return textwrap.dedent(f"""\
            - part: {part.number}
              name: {part.name}
              plan: Sheet {self.random.randint(1, 60)}
              material: "2024"
              temper: T3
              thickness: 0.0{self.random.choice((20, 25, 32, 40))} in
              quantity: {part.quantity}
              route: {", ".join(ROUTE)}
              finish: Wash primer all over
        """)

    def _section(self, slug: str, own: list[_Part], steps: int, at: int) -> str:
        lines = [
            f"section: {slug}",
            f"title: {slug.replace('-', ' ').capitalize()}",
            f"order: {at + 1}",
            f"plans: Sheets {at * 10} to {at * 10 + 9}",
            "intro: |",
            self._prose(300, own, "  "),
            "steps:",
        ]
        for n in range(steps):
            parts = own[len(own) * n // steps : len(own) * (n + 1) // steps] or own[:1]
            step = _Step(
                f"{slug}/step-{n + 1}",
                f"{self.random.choice(NAMES).capitalize()}s {self.random.choice(CLAUSES)}, {n + 1}",
                parts,
            )
            self.steps.append(step)
            lines += [
                f"  - step: step-{n + 1}",
                f"    title: {step.title}",
                f"    plan: Sheet {at * 10 + n}",
                f"    parts: {', '.join(p.number for p in parts)}",
                f"    operations: {', '.join(ROUTE)}",
                "    estimate: 100h",
                "    inspections: Looked at before it is covered",
                "    notes: |",
                self._prose(200, own, "      "),
            ]
        return "\n".join(lines) + "\n"

    def _lists(self) -> None:
        self.files["book.yml"] = textwrap.dedent("""\
            title: A book of many sessions
            aircraft:
              model: Invented two-seater
            builder: ada
            time zone: Europe/Copenhagen
            about: |
              Made by a program to see how long a large book takes.
        """)
        self.files["people.yml"] = "".join(
            f"- person: {p}\n  name: {p.capitalize()} Example\n  role: {r}\n"
            for p, r in zip(PEOPLE, ("builder", "helper", "helper", "inspector"), strict=True)
        )
        self.files["operations.yml"] = "".join(
            f"- operation: {slug}\n  title: {title}\n  how: The usual way.\n"
            f"  cautions: Eye protection. Keep fingers and hair clear.\n"
            for slug, title in OPERATIONS.items()
        )
        self.files["tools.yml"] = "".join(
            f"- tool: {t}\n  title: {t.replace('-', ' ').capitalize()}\n" for t in TOOLS
        )
        self.files["lots.yml"] = "".join(
            f"- lot: primer-{n}\n  title: Wash primer, tin {n}\n  batch: X-{n:05}\n"
            for n in range(1, self.count // 100 + 2)
        )
        for n, title in enumerate(("Before you start", "The workshop", "How we count"), 1):
            prose = self._prose(1200, self.steps[0].parts, "", plain=False)
            tags = f"\n\n[[hours {self.steps[0].name.partition('/')[0]}]]\n" if n == 1 else "\n"
            self.files[f"notes-{n}.md"] = f"# {title}\n\n{prose}{tags}"

    def _session(
        self, n: int, day: date, step: _Step, operation: str, *, upto: tuple[int, str]
    ) -> None:
        """Write one session; `upto` is the step and operation of the next one."""
        pick = self.random
        last = upto[0] >= len(self.steps) or self.steps[upto[0]] is not step
        # Before the next operation begins, the pieces left over are finished.
        rest = last or upto[1] != operation
        parts = step.parts
        first = parts if rest else pick.sample(parts, min(len(parts), pick.choice((2, 3, 4))))
        title = f"{parts[0].name} {pick.choice(CLAUSES)}, evening {n + 1}"
        lines = [f"date: {day}", f"title: {title}"]
        if n % 4 == 0:
            lines.append(f"who: {', '.join(pick.sample(PEOPLE[:3], 2))}")
        if operation == "prime":
            lines += [f"lots: primer-{n // 100 + 1}", "air:"]
            lines += [f"  temperature: {pick.randint(15, 24)} °C"]
            lines += [f"  humidity: {pick.randint(35, 65)} %"]
        if n % 5 < 3:  # noqa: PLR2004 - three sessions in five are several pieces of work
            works = [
                self._work(n, step, some, operation, rest=rest) for some in (first, parts[-2:])
            ]
            works[1] += ["finished: yes"] if last else []
            lines.append("work:")
            for work in works:
                lines += [
                    f"{'-' if at == 0 else ' ':>3} {ln}".rstrip() for at, ln in enumerate(work)
                ]
        else:
            lines += self._work(n, step, first, operation, rest=rest)
            lines += ["finished: yes"] if last else []
        if n < PICTURES:
            lines += ["photos:", f"  - file: shared-{n}.png", f"    caption: {title}, in place"]
        if n % 50 == 0:
            lines += self._lesson(step, parts, operation)
        elif self.lessons and n % 2:
            lines.append(f"lessons: {pick.randint(1, self.lessons)}")
        if n % 80 == 1:
            lines += self._squawk(step, parts[0], day)
        if n % 3 == 0:
            lines += ["next: |", self._prose(90, parts, "  ")]
        self.files[f"sessions/{day.year}/{day}-{n + 1:06}.yml"] = "\n".join(lines) + "\n"

    def _work(
        self, n: int, step: _Step, parts: list[_Part], operation: str, *, rest: bool
    ) -> list[str]:
        """Write a piece of work; in every sixth session with a list or emphasis in its notes."""
        pick = self.random
        lines = [
            f"step: {step.name}",
            f"operation: {operation}",
            f"hours: {pick.choice(('45 min', '1h', '1h15', '1h30', '2h'))}",
            f"parts: {', '.join(p.number for p in parts)}",
        ]
        runs = {p.number: p.finish(operation, all_of_them=rest) for p in parts}
        pieces = [f'  {number}: "{run}"' for number, run in runs.items() if run]
        lines += ["pieces:", *pieces] if pieces else []
        lines += [f"tools: {', '.join(pick.sample(TOOLS, 2))}"] if n % 2 else []
        if n % 2 == 0:
            lines.append("readings:")
            lines += self._reading(parts[0]) + self._reading(parts[-1])
        prose = self._prose(pick.randint(120, 560), parts, "  ", plain=n % 6 > 0)
        return [*lines, "notes: |", *prose.split("\n")]

    def _reading(self, part: _Part) -> list[str]:
        values = ", ".join(f"0.1{self.random.randint(38, 60)} in" for _ in range(3))
        return [
            "  - reading: shop head diameter",
            f"    part: {part.number}",
            f"    values: {values}",
            "    min: 0.120 in",
            "    max: 0.190 in",
            "    tool: calipers",
        ]

    def _lesson(self, step: _Step, parts: list[_Part], operation: str) -> list[str]:
        self.lessons += 1
        return [
            "lessons:",
            f"  - lesson: {self.lessons}",
            f"    title: Do it {self.random.choice(('slower', 'twice', 'together'))} next time",
            f"    operations: {operation}",
            *([f"    parts: {parts[0].number}"] if self.lessons % 6 else []),
            f"    steps: {step.name}",
            "    text: |",
            self._prose(300, parts, "      "),
        ]

    def _squawk(self, step: _Step, part: _Part, day: date) -> list[str]:
        self.squawks += 1
        lines = [
            "squawks:",
            f"  - squawk: {self.squawks}",
            f"    title: Hole too wide in {part.number}",
            "    by: ada",
            f"    step: {step.name}",
            f"    parts: {part.number}",
            "    text: |",
            self._prose(150, [part], "      "),
            "    disposition:",
            "      decision: repair",
            f"      date: {day}",
            "      by: ada",
        ]
        if self.squawks % 5:
            lines += ["    closed:", f"      date: {day}", "      by: doran"]
        return lines

    def _prose(self, size: int, parts: list[_Part], indent: str, *, plain: bool = True) -> str:
        """Write some paragraphs, about `size` characters, with names of the book in them."""
        paragraphs: list[str] = []
        written = 0
        while written < size:
            some = [self._fill(self.random.choice(SENTENCES), parts) for _ in range(2)]
            paragraphs.append(textwrap.fill(" ".join(some), 96))
            written += len(paragraphs[-1])
        if not plain:
            paragraphs.insert(1, self._fill(self.random.choice(MARKED_UP), parts))
        return textwrap.indent("\n\n".join(paragraphs), indent)

    def _fill(self, sentence: str, parts: list[_Part]) -> str:
        pick = self.random
        if "{lesson}" in sentence and not self.lessons:
            sentence = SENTENCES[0]
        if "{step}" in sentence and not self.steps:
            sentence = SENTENCES[1]
        return sentence.format(
            part=parts[0].number,
            other=parts[-1].number,
            n=pick.randint(2, 60),
            m=pick.randint(2, 60),
            lesson=pick.randint(1, max(1, self.lessons)),
            step=pick.choice(self.steps).name if self.steps else "",
        )


SETTINGS = """\
site_name: A book of many sessions
docs_dir: content
site_dir: site
use_directory_urls: false
theme:
  name: material
  font: false
  features: [navigation.indexes, navigation.top, search.highlight, toc.follow]
plugins: [search, offline{plugin}]
markdown_extensions:
  - tables
  - toc:
      permalink: true
  - fenced_code
validation:
  omitted_files: ignore
"""
"""Of the site; the plain site that it is compared with has the same, without the plugin."""


def make_book(folder: Path, sessions: int, seed: int = 1) -> None:
    """Write a book of so many sessions into `folder`, which must be new or empty."""
    from PIL import Image  # noqa: PLC0415 - slow to load

    content = folder / "content"
    for name, text in _Maker(sessions, seed).make().items():
        path = content / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    (content / "photos").mkdir()
    for n in range(min(PICTURES, sessions)):
        colour = (40 * n, 90, 200 - 30 * n)
        Image.new("RGB", (640, 480), colour).save(content / "photos" / f"shared-{n}.png")
    (folder / "mkdocs.yml").write_text(SETTINGS.format(plugin=", buildbook"), encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description="Make a valid book of any size.")
    parser.add_argument("--sessions", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("folder", type=Path)
    said = parser.parse_args()
    if said.sessions < 1:
        parser.error("a book has at least one session")
    if said.folder.exists() and any(said.folder.iterdir()):
        parser.error(f"{said.folder} is not empty")
    make_book(said.folder, said.sessions, said.seed)
    sizes = [p.stat().st_size for p in (said.folder / "content" / "sessions").rglob("*.yml")]
    print(f"{len(sizes)} sessions, {sum(sizes) / len(sizes):.0f} bytes each, in {said.folder}")


if __name__ == "__main__":
    main()
