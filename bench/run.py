"""This project beside the plainest way of doing the same, in time and memory.

Run `python bench/run.py [--sessions 500 2000 8000] [--quick]`. Two pairs are measured:

- building a book's site with the plugin, against plain MkDocs and Material for MkDocs building as
  many pages with as many bytes of Markdown that is ready;
- `buildbook check`, against loading the same files with PyYAML's C loader and nothing else.

Every run is a process of its own with a fresh output folder, the two of a pair take turns, and the
medians of the rounds are shown; the largest books are measured once. How to read the tables is in
README.md beside this file.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

BIN = Path(sys.executable).parent
ENV = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
LARGE = 4000
"""Sessions from which one round is enough: it takes a minute, and noise is small beside that."""


@dataclass(frozen=True)
class Run:
    """What one process took."""

    wall: float
    """Seconds."""
    cpu: float
    """Seconds of processor time: steadier than `wall` on a machine that others use too."""
    memory: float
    """Peak, in MB."""
    said: str = ""
    """Its output."""


def measure(*command: "str | Path") -> Run:
    """Run a command and tell what it took."""
    with tempfile.TemporaryFile() as said:
        started = time.perf_counter()
        child = subprocess.Popen(list(map(str, command)), env=ENV, stdout=said)
        _, status, used = os.wait4(child.pid, 0)
        wall = time.perf_counter() - started
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode:
            sys.exit(f"failed: {' '.join(map(str, command))}")
        said.seek(0)
        cpu = used.ru_utime + used.ru_stime
        return Run(wall, cpu, used.ru_maxrss / 1024, said.read().decode())


def measure_build(folder: Path) -> Run:
    """Build a site into a fresh folder."""
    with tempfile.TemporaryDirectory() as out:
        settings = folder / "mkdocs.yml"
        return measure(BIN / "mkdocs", "build", "-q", "-f", settings, "-d", Path(out) / "site")


# What runs in a process of its own.


def one_parse(content: Path) -> float:
    """Load every YAML file with the C loader; return the processor seconds without imports."""
    import yaml  # noqa: PLC0415

    started = time.process_time()
    for path in sorted(content.rglob("*.yml")):
        yaml.load(path.read_bytes(), yaml.CSafeLoader)
    return time.process_time() - started


def one_read(content: Path) -> float:
    """Read and check a book, and return the processor seconds without imports."""
    from buildbook.records.read import read  # noqa: PLC0415

    started = time.process_time()
    if read(content).findings():
        sys.exit("the book has problems")
    return time.process_time() - started


def one_plain(content: Path) -> int:
    """Write the plain site's Markdown beside the book, and return how many pages it has.

    It has the book's pages under the same paths. A session's page says what its record says, with
    links to its step and part; the bytes that are left of the records are spread over the other
    pages. Its lists stay short, where the book's own grow with it.
    """
    from buildbook.ledger.ledger import derive  # noqa: PLC0415
    from buildbook.pages.context import Context  # noqa: PLC0415
    from buildbook.pages.layout import lay_out  # noqa: PLC0415
    from buildbook.records.read import read  # noqa: PLC0415

    book = read(content).book
    pages = lay_out(Context(book, derive(book)))
    plain = content.parent / "plain"
    texts = {f"{p.path}.md": "" for p in pages} | dict(book.notes)
    nav = [f"{p.path}.md" for p in pages if p.listed] + list(book.notes)
    for slug, s in book.sessions.items():
        lines = [f"# {s.title}", f"{s.date}, {', '.join(s.who)}", ""]
        for work in s.entries:
            lines += [f"## [{work.step}](../sections/{work.step}.md)", ""]
            lines += [f"- Operation: {work.operation}, {work.hours} min"]
            lines += [f"- Part: [{p}](../parts/{p}.md)" for p in work.parts]
            lines += [f"- Pieces of {p}: {', '.join(words)}" for p, words in work.pieces.items()]
            lines += [f"- Tools: {', '.join(work.tools)}", "", work.notes or ""]
            if work.readings:
                lines += ["", "| Measured | Values |", "| --- | --- |"]
                lines += [
                    f"| {r.reading} | {', '.join(v.written for v in r.values)} |"
                    for r in work.readings
                ]
        for x in (*s.lessons, *s.squawks):
            if not isinstance(x, int):
                lines += ["", f"## {x.title}", "", x.text or ""]
        texts[f"sessions/{slug}.md"] = "\n".join([*lines, "", "## Next", "", s.next or ""])
    total = sum(p.stat().st_size for end in ("yml", "md") for p in content.rglob(f"*.{end}"))
    empty = [p for p in pages if not texts[f"{p.path}.md"]]
    left = total - sum(len(text.encode()) for text in texts.values())
    words = "Clamped it to the bench, drilled, deburred, and looked at every hole.\n\n" * 50
    for page in empty:
        texts[f"{page.path}.md"] = f"# {page.title}\n\n{words}"[: max(40, left // len(empty))]
    for name, text in texts.items():
        path = plain / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    settings = (content.parent / "mkdocs.yml").read_text(encoding="utf-8")
    listed = "".join(f"  - {name}\n" for name in nav)
    settings = settings.replace(", buildbook]", "]") + f"not_in_nav: '*.md'\nnav:\n{listed}"
    (plain / "mkdocs.yml").write_text(settings, encoding="utf-8")
    share = sum(len(text.encode()) for text in texts.values()) / total
    print(f"{len(texts)} pages, {share:.0%} of the records' {total / 1e6:.2f} MB; ", end="")
    return len(texts)


ONE = {"parse": one_parse, "read": one_read, "plain": one_plain}


# The tables.

Pair = tuple[list[Run], list[Run]]


def compare(rounds: int, book: Path) -> dict[str, Pair]:
    """Measure both pairs, taking turns."""
    content, plain = book / "content", book / "plain"
    pairs: dict[str, Pair] = {"build": ([], []), "check": ([], []), "read": ([], [])}
    measure_build(book)  # once, unmeasured: pictures are made, modules are compiled
    for _ in range(rounds):
        pairs["build"][0].append(measure_build(book))
        pairs["build"][1].append(measure_build(plain))
    for _ in range(rounds):
        pairs["check"][0].append(measure(BIN / "buildbook", "check", content))
        read = measure(sys.executable, __file__, "--one", "read", content)
        parse = measure(sys.executable, __file__, "--one", "parse", content)
        pairs["check"][1].append(parse)
        for run, into in ((read, pairs["read"][0]), (parse, pairs["read"][1])):
            into.append(Run(float("nan"), float(run.said), run.memory))
    return pairs


def median(runs: list[Run], what: str) -> float:
    return float(statistics.median(getattr(run, what) for run in runs))


ROWS = {
    "build": ("build the site", "plain MkDocs"),
    "check": ("buildbook check", "bare libyaml"),
    "read": ("  without start", "bare libyaml"),
}


def show(sessions: int, pairs: dict[str, Pair]) -> None:
    for name, (ours, other) in pairs.items():
        cells = f"{sessions:8,}  {ROWS[name][0]:17}{ROWS[name][1]:14}"
        for what, digits in (("wall", 2), ("cpu", 2), ("memory", 0)):
            a, b = median(ours, what), median(other, what)
            cells += f"{a:9.{digits}f}{b:9.{digits}f}{a / b:7.2f}"
        print(cells.replace("nan", "  -"), flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--sessions", type=int, nargs="+", default=[500, 2000, 8000])
    parser.add_argument("--quick", action="store_true", help="one round, 500 and 2000 sessions")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--one", nargs=2, metavar=("WHAT", "CONTENT"), help=argparse.SUPPRESS)
    said = parser.parse_args()
    if said.one:
        print(ONE[said.one[0]](Path(said.one[1])))
        return
    sizes, rounds = (said.sessions, said.rounds) if not said.quick else ([500, 2000], 1)
    results = {}
    head = f"{'sessions':>8}  {'ours':17}{'beside':14}"
    head += "".join(f"{w:>18}{'ratio':>7}" for w in ("wall s", "cpu s", "peak MB"))
    with tempfile.TemporaryDirectory() as folder:
        for size in sizes:
            book = Path(folder) / str(size)
            here = Path(__file__).parent
            measure(sys.executable, here / "make_book.py", "--sessions", str(size), book)
            made = measure(sys.executable, __file__, "--one", "plain", book / "content")
            turns = 1 if size > LARGE else rounds
            print(f"\n{size:,} sessions: {made.said.rpartition(';')[0]}; rounds: {turns}")
            print(head)
            results[size] = compare(turns, book)
            show(size, results[size])
    start = [measure(BIN / "buildbook", "--help").wall for _ in range(5)]
    print(f"\nbuildbook --help: {statistics.median(start):.2f} s")
    growth(results)


def growth(results: dict[int, dict[str, Pair]]) -> None:
    """Show what each size takes a session: the same at every size where growth is linear."""
    if len(results) < 2:  # noqa: PLR2004
        return
    small, large = min(results), max(results)
    print(f"\nGrowth: {large / small:.3g} times the sessions, from {small:,} to {large:,}")
    print(f"{'':26}{'cpu s, times':>15}{'ms more a session':>20}{'peak MB, times':>16}")
    for name in ("build", "check"):
        for side in (0, 1):
            a, b = (results[n][name][side] for n in (small, large))
            time_a, time_b = median(a, "cpu"), median(b, "cpu")
            more = (time_b - time_a) / (large - small) * 1000
            times = median(b, "memory") / median(a, "memory")
            print(f"{ROWS[name][side]:26}{time_b / time_a:15.1f}{more:20.2f}{times:16.1f}")


if __name__ == "__main__":
    main()
