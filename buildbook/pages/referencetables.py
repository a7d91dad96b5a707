"""The tables of the page Reference, filled by the functions that answer look-ups."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from buildbook.pages.words import mark, number, say, translated
from buildbook.records.quantities import Quantity
from buildbook.reference import (
    bends,
    dewpoint,
    rivets,
    sheetmetal,
    shelflife,
    spacing,
    tempers,
    torque,
)
from buildbook.reference.answers import Fact, Units, inches, numbers
from buildbook.reference.rivetcodes import ALLOYS, COUNTERSUNK, DIAMETERS, UNIVERSAL
from buildbook.reference.rules import RULES, limit_by_rule
from buildbook.reference.source import Source


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table."""

    head: str
    numeric: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """A value, marked when nobody looked it up."""

    text: str
    unverified: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table; the first cell of a row names it."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    sources: tuple[Source, ...]


def torque_tables() -> tuple[Table, ...]:
    """Lay out the torques: fine threads and coarse ones, each with both kinds of nut."""
    return tuple(_torques(fine, nut) for fine in (True, False) for nut in torque.Nut)


def _torques(fine: bool, nut: torque.Nut) -> Table:
    rows, sources = [], []
    for row in torque.ROWS:
        if row.fine is not fine:
            continue
        fact, most = torque.fact(row, nut), torque.most(row, nut)
        weak = bool(row.bolt) and not row.bolt_source.verified
        bolt = [Cell(row.bolt, weak)] if fine else []
        cells = (_number(f, units) for f in (fact, most) for units in (Units.INCH, Units.METRIC))
        rows.append((Cell(row.thread), *bolt, *cells))
        sources += [fact.source, most.source, *([row.bolt_source] if row.bolt else [])]
    columns = (
        Column(say("Thread")),
        *([Column(say("Bolt"))] if fine else []),
        Column("in-lb", numeric=True),
        Column("N·m", numeric=True),
        Column(say("Never more, in-lb"), numeric=True),
        Column("N·m", numeric=True),
    )
    caption = (
        say("Fine threads, %(nut)s nuts", nut=translated(nut.value))
        if fine
        else say("Coarse threads, %(nut)s nuts", nut=translated(nut.value))
    )
    return Table(caption, columns, tuple(rows), _once(sources))


def rivet_tables() -> tuple[Table, ...]:
    """Lay out alloys, holes and driven heads of rivets."""
    return (_alloys(), _holes(), _heads())


def _alloys() -> Table:
    rows = tuple(
        (Cell(letters), Cell(translated(metal)), Cell(translated(stamp)))
        for letters, (metal, stamp) in ALLOYS.items()
    )
    columns = (Column(say("Letters")), Column(say("Alloy")), Column(say("Mark on the head")))
    heads = say(" and ").join(
        f"{head.ms} {translated(head.name)}" for head in (UNIVERSAL, COUNTERSUNK)
    )
    caption = say("Alloys, by the letters after the head: %(heads)s", heads=heads)
    return Table(caption, columns, rows, (rivets.CODES, rivets.AC_4_57))


def _holes() -> Table:
    columns = (
        Column(say("Rivet")),
        Column(say("Drill")),
        Column(say("in (mm)"), numeric=True),
        Column(say("Hole allowed, in"), numeric=True),
        Column("mm", numeric=True),
    )
    rows, sources = [], []
    for hole in rivets.HOLES:
        size = inches(hole.inches)
        drill = Fact(say("Drill"), size, size, hole.source)
        weak = not hole.source.verified
        limit = next(
            (rivets.hole_limit(n) for n, _, _ in rivets.HOLE_LIMITS if n == hole.rivet), None
        )
        allowed = (
            (_number(limit), _number(limit, Units.METRIC)) if limit else (Cell(say("no row")),) * 2
        )
        rows.append(
            (
                Cell(f"{hole.rivet} in"),
                Cell(hole.drill, weak),
                _both(drill),
                *allowed,
            )
        )
        sources += [hole.source, *([limit.source] if limit else [])]
    return Table(say("Drills and holes for rivets"), columns, tuple(rows), _once(sources))


def _heads() -> Table:
    columns = (
        Column(say("Rivet")),
        Column(say("Rule")),
        Column(say("Diameter at least, in"), numeric=True),
        Column("mm", numeric=True),
        Column(say("Height, in"), numeric=True),
        Column("mm", numeric=True),
    )
    rows, sources = [], []
    for rivet in DIAMETERS:
        for rule in rivets.HEAD_RULES.values():
            if rivet not in rule.rows:
                continue
            wide, high = rivets.shop_head(f"{rivet.name} in", rule.name)
            cells = [_number(wide), _number(wide, Units.METRIC)]
            cells += [_number(high), _number(high, Units.METRIC)]
            if high.high is None:
                cells[2:] = [Cell(say("at least %(text)s", text=cell.text)) for cell in cells[2:]]
            rows.append((Cell(f"{rivet.name} in"), Cell(rule.name), *cells))
            sources.append(rule.source)
    return Table(say("Driven heads, by each rule"), columns, tuple(rows), _once(sources))


def spacing_tables() -> tuple[Table, ...]:
    """Lay out edge distance and pitch, of rivets and of bolts."""
    rivet_facts = {f"{row.name} in": spacing.of_rivet(row, spacing.HEADS) for row in DIAMETERS}
    bolt_facts = {
        f"AN{round(row.inches * 16)}": (spacing.edge_of_bolt(row), spacing.pitch_of_bolt(row))
        for row in spacing.BOLTS
    }
    edges = (say("Edge 2 D"), say("flush 2.5 D"), say("dimpled 2.5 D"), say("Pitch 3 D"))
    return (
        _in_both(say("Rivets, at least: in (mm)"), say("Rivet"), edges, rivet_facts),
        _in_both(
            say("Bolts, at least: in (mm)"),
            say("Bolt"),
            (say("Edge 2 D"), say("Pitch 4 D")),
            bolt_facts,
        ),
    )


def _in_both(
    caption: str, head: str, heads: tuple[str, ...], facts: Mapping[str, tuple[Fact, ...]]
) -> Table:
    """Lay out facts with both units in one cell."""
    columns = (Column(head), *(Column(name, numeric=True) for name in heads))
    rows = tuple((Cell(name), *map(_both, some)) for name, some in facts.items())
    return Table(caption, columns, rows, _once(f.source for s in facts.values() for f in s))


def _both(fact: Fact) -> Cell:
    inch, metric = (numbers(fact.low, fact.high, units) for units in (Units.INCH, Units.METRIC))
    return Cell(f"{number(inch)} ({number(metric)})", not fact.source.verified)


def bend_tables() -> tuple[Table, ...]:
    """Lay out the bend radii."""
    columns = (
        Column(say("Material")),
        Column(say("Thickness, in"), numeric=True),
        Column(say("Thicknesses"), numeric=True),
        Column(say("Radius, in"), numeric=True),
        Column("mm", numeric=True),
    )
    rows, sources = [], []
    for name in bends.RADII:
        for size in bends.THICKNESSES:
            length, multiples = bends.radius(name, inches(size.inches))
            cells = (
                Cell(_in_words(multiples.words)),
                _number(length),
                _number(length, Units.METRIC),
            )
            thick = inches(size.inches)
            rows.append((Cell(name), Cell(number(numbers(thick, thick, Units.INCH))), *cells))
            sources += [multiples.source, length.source]
    return (Table(say("Inside radius of a 90 degree bend"), columns, tuple(rows), _once(sources)),)


def temper_tables() -> tuple[Table, ...]:
    """Lay out the tempers in words, and what forming makes of them."""
    words = tuple((Cell(t.name), Cell(translated(t.words))) for t in tempers.TEMPERS.values())
    formed = [(alloy, tempers.after_forming(alloy)) for alloy in tempers.AFTER_FORMING]
    return (
        Table(
            say("Tempers in words"),
            (Column(say("Temper")), Column(say("Means"))),
            words,
            (tempers.H35,),
        ),
        Table(
            say("Parts formed soft and then heat-treated"),
            (Column(say("Alloy")), Column(say("The part"))),
            tuple((Cell(alloy), Cell(translated(fact.words))) for alloy, fact in formed),
            _once(fact.source for _, fact in formed),
        ),
    )


_AIR = (0, 5, 10, 15, 20, 25, 30, 35)
_HUMIDITY = (30, 40, 50, 60, 70, 80, 90)


def dew_point_tables() -> tuple[Table, ...]:
    """Lay out dew points of the air in a workshop, in both units."""
    columns = (Column(say("Air")), *(Column(f"{share} %", numeric=True) for share in _HUMIDITY))
    both = []
    for sign, name, share, zero in (
        ("°C", say("Celsius"), 1.0, 0),
        ("°F", say("Fahrenheit"), 1.8, 32),
    ):
        rows = []
        for air in _AIR:
            cells = [Cell(f"{air * share + zero:.0f} {sign}")]
            for humidity in _HUMIDITY:
                point = dewpoint.dew_point(air, humidity)
                degrees = round(point.celsius * share + zero, 1) + 0.0  # and never -0.0
                cells.append(
                    Cell(number(f"{degrees:.1f}") + (say(" frost") if point.is_frost else ""))
                )
            rows.append(tuple(cells))
        caption = say("Dew point by relative humidity, %(name)s", name=name)
        both.append(Table(caption, columns, tuple(rows), (dewpoint.FORMULA, dewpoint.COATING)))
    return tuple(both)


def sheet_metal_tables() -> tuple[Table, ...]:
    """Lay out blends, chamfers, and K of the setback."""
    depths = [inches(d) for d in (0.002, 0.005, 0.010)]
    sheets = [inches(t) for t in (0.020, 0.025, 0.032, 0.040, 0.064)]
    setbacks = [
        (angle, sheetmetal.setback(inches(0), inches(0.032), angle)) for angle in (45, 90, 120, 135)
    ]
    return (
        _by_length(
            say("Blending corrosion out"),
            say("Depth"),
            say("Length at least"),
            depths,
            sheetmetal.blend_length,
        ),
        _by_length(
            say("Deburring a hole"),
            say("Thickness"),
            say("Chamfer at most"),
            sheets,
            sheetmetal.deburr_depth,
        ),
        Table(
            say("K of the setback"),
            (Column(say("Angle of bend")), Column("K", numeric=True)),
            tuple(
                (Cell(say("%(angle)s degrees", angle=a)), Cell(number(found.facts[1].words)))
                for a, found in setbacks
            ),
            _once(fact.source for _, found in setbacks for fact in found.facts),
        ),
    )


def _by_length(
    caption: str,
    head: str,
    wanted: str,
    lengths: list[Quantity],
    find: Callable[[Quantity], Fact],
) -> Table:
    facts = [(length, find(length)) for length in lengths]
    columns = (
        Column(say("%(what)s, in", what=head)),
        Column("mm", numeric=True),
        Column(say("%(what)s, in", what=wanted), numeric=True),
        Column("mm", numeric=True),
    )
    rows = tuple(
        (
            Cell(number(numbers(length, length, Units.INCH))),
            Cell(number(numbers(length, length, Units.METRIC))),
            _number(fact),
            _number(fact, Units.METRIC),
        )
        for length, fact in facts
    )
    return Table(caption, columns, rows, _once(fact.source for _, fact in facts))


def shelf_life_tables() -> tuple[Table, ...]:
    """Lay out the codes of shelf life."""
    rows, sources = [], [shelflife.MONTHS, shelflife.MONTH_ONLY, shelflife.OUT_TIME]
    for code in shelflife.CODES_BY_LETTER.values():
        months, kind = shelflife.code_facts(code)
        weak = not months.source.verified
        rows.append((Cell(code.letter), Cell(str(code.months), weak), Cell(translated(kind.words))))
        sources += [months.source, kind.source]
    columns = (Column(say("Code")), Column(say("Months"), numeric=True), Column(say("Kind")))
    sources.append(shelflife.POT_LIFE)
    return (Table(say("Shelf-life codes"), columns, tuple(rows), _once(sources)),)


def rule_tables() -> tuple[Table, ...]:
    """Lay out the rules that a limit can name, each with what its example gives."""
    rows, sources = [], []
    for rule in RULES.values():
        limit = limit_by_rule(rule.example)
        fact = Fact("", limit.low, limit.high, limit.source)
        text = Cell(_in_words(fact.shown()), not limit.source.verified)
        rows.append((Cell(rule.name), Cell(translated(rule.words)), Cell(rule.example), text))
        sources.append(limit.source)
    columns = (
        Column(say("Rule")),
        Column(say("What follows")),
        Column(say("Example")),
        Column(say("Gives")),
    )
    return (Table(say("Rules"), columns, tuple(rows), _once(sources)),)


def _number(fact: Fact, units: Units = Units.INCH) -> Cell:
    shown = _in_words(numbers(fact.low, fact.high, units))
    return Cell(shown, not fact.source.verified)


def _in_words(shown: str) -> str:
    """Write a range or a limit, given in English, in the language in force."""
    for words in (mark("at least "), mark("at most "), mark(" to ")):
        shown = shown.replace(words, say(words))
    return number(shown)


def _once(sources: Iterable[Source]) -> tuple[Source, ...]:
    return tuple(dict.fromkeys(sources))
