"""Made-up books with a known builder, to hold forecasts and curves against what really comes.

A `Builder` has a true ratio of actual to estimated hours, weeks that differ, idle weeks that come
singly and in spells, and a learning curve for one repeated operation. The Book is made in memory.
"""

import random
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from buildbook.records.book import Book
from buildbook.records.bookfile import BookFile
from buildbook.records.operation import Operation
from buildbook.records.part import Part
from buildbook.records.section import Section
from buildbook.records.session import Session

START = date(2020, 1, 6)
"""A Monday."""


@dataclass(frozen=True, slots=True)
class Builder:
    """How somebody works; what a forecast has to find out."""

    ratio: float = 1.15
    """Middle of actual over estimated hours."""
    ratio_spread: float = 0.3
    """Standard deviation of its logarithm from step to step."""
    week_hours: float = 7.0
    """Middle of the hours of a week that is not idle."""
    week_spread: float = 0.5
    """Standard deviation of their logarithm."""
    idle: float = 0.12
    """Share of weeks without work, beside the spells."""
    spell: float = 0.02
    """Chance in each week that a spell of three to eight idle weeks begins."""
    drift: float = 1.0
    """What a year multiplies the hours of a week by."""
    slope: float = 0.85
    """Unit-theory slope of the time of a rib."""
    rib_minutes: float = 45.0
    """Time of the first rib."""
    rib_spread: float = 0.15


@dataclass(frozen=True, slots=True)
class Plan:
    """What is to be built."""

    sections: int = 6
    steps: int = 7
    step_hours: tuple[float, float] = (3.0, 24.0)
    ribs: int = 0
    """Ribs of a first step that are made a few a session."""


def generate(seed: int, builder: Builder | None = None, plan: Plan | None = None) -> Book:
    """Make the whole record of a build that is finished."""
    builder, plan = builder or Builder(), plan or Plan()
    rng = random.Random(seed)
    names = [f"part-{n + 1}" for n in range(plan.sections)]
    sections: dict[str, Section] = {}
    work: list[tuple[str, int]] = []
    for name in names:
        steps = []
        for n in range(plan.steps):
            hours = rng.uniform(*plan.step_hours)
            minutes = max(30, round(hours * 60))
            steps.append({"step": f"step-{n + 1}", "title": "Step", "estimate": f"{minutes} min"})
            actual = minutes * builder.ratio * rng.lognormvariate(0, builder.ratio_spread)
            work.append((f"{name}/step-{n + 1}", max(15, round(actual))))
        sections[name] = Section.model_validate({"section": name, "title": name, "steps": steps})
    sessions = _sessions(rng, builder, plan, work)
    return Book(
        file=BookFile.model_validate(
            {
                "title": f"Made-up book {seed}",
                "aircraft": {"model": "Nothing"},
                "builder": "someone",
                "time zone": "Europe/Copenhagen",
            }
        ),
        operations={"flute": Operation.model_validate({"operation": "flute", "title": "Flute"})},
        parts={
            "RIB": Part.model_validate(
                {"part": "RIB", "name": "Rib", "quantity": max(1, plan.ribs), "route": "flute"}
            )
        },
        sections=sections,
        sessions=sessions,
    )


def _sessions(
    rng: random.Random, builder: Builder, plan: Plan, work: list[tuple[str, int]]
) -> dict[str, Session]:
    sessions: dict[str, Session] = {}
    todo = list(reversed(work))
    ribs, week, resting = 0, 0, 0
    while todo:
        monday = START + timedelta(weeks=week)
        week += 1
        if resting:
            resting -= 1
            continue
        if rng.random() < builder.spell:
            resting = rng.randint(2, 7)
            continue
        if rng.random() < builder.idle:
            continue
        middle = builder.week_hours * builder.drift ** (week / 52)
        left = round(60 * middle * rng.lognormvariate(0, builder.week_spread))
        days = sorted(rng.sample(range(7), k=min(3, 1 + left // 180)))
        for day in days:
            minutes = max(15, left // len(days))
            entries: list[dict[str, Any]] = []
            if ribs < plan.ribs:
                count = min(plan.ribs - ribs, rng.randint(2, 6))
                entries.append(_ribs(rng, builder, ribs, count, todo[-1][0]))
                ribs += count
                minutes = 0
            while minutes and todo:
                step, wanted = todo.pop()
                spent = min(minutes, wanted)
                minutes -= spent
                entries.append({"step": step, "hours": f"{spent} min"})
                if spent < wanted:
                    todo.append((step, wanted - spent))
                else:
                    entries[-1]["finished"] = "yes"
            if entries:
                on = monday + timedelta(days=day)
                session = Session.model_validate({"date": str(on), "work": entries})
                sessions[session.slug] = session
    return sessions


def _ribs(rng: random.Random, builder: Builder, made: int, count: int, step: str) -> dict[str, Any]:
    from buildbook.reference.learning import unit_factor  # noqa: PLC0415

    whole = sum(unit_factor(builder.slope, n) for n in range(made + 1, made + count + 1))
    minutes = whole * builder.rib_minutes * rng.lognormvariate(0, builder.rib_spread)
    return {
        "step": step,
        "operation": "flute",
        "parts": "RIB",
        "pieces": f"{made + 1:02} to {made + count:02}",
        "hours": f"{max(1, round(minutes))} min",
    }
