"""`buildbook look-up`: published tables and formulas, each answer with its caution and source."""

import textwrap
from collections.abc import Callable, Iterable
from typing import Any

import click

from buildbook.cli.errors import CannotRunError
from buildbook.reference.answers import (
    STANDING,
    UNVERIFIED,
    Answer,
    Fact,
    RefusedError,
    Units,
)

_WIDTH = 96
_PLAIN = {"ignore_unknown_options": True}
"""So that `-5` is a temperature and `-4` a rivet, and no option."""

_units = click.option(
    "--units",
    type=click.Choice([unit.value for unit in Units]),
    default=Units.BOTH.value,
    show_default=True,
    help="Show inches and pounds, metric, or both.",
)


class _Kinds(click.Group):
    """Turns refusals into sentences, and says what kinds there are where one is unknown."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the kind that is asked for."""
        from buildbook.records.problems import did_you_mean  # noqa: PLC0415

        if args and self.get_command(ctx, args[0]) is None:
            advice = did_you_mean(args[0], self.commands) or f"kinds: {', '.join(self.commands)}"
            raise CannotRunError(f"there is nothing to look up under `{args[0]}`; {advice}")
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the kind."""
        try:
            return super().invoke(ctx)
        except RefusedError as error:
            advice = f"; {error.advice}" if error.advice else ""
            raise CannotRunError(f"{error.message}{advice}") from None


@click.group(cls=_Kinds)
def look_up() -> None:
    """Look something up in published tables.

    Sizes without a unit are in inches. What is in no table is refused, never guessed.
    """


def say(answer: Answer, units: str) -> None:
    """Write an answer: values, cautions, sources, and what comes first."""
    click.echo(answer.title)
    width = min(52, max(len(fact.what) for fact in answer.facts))
    sources = list(answer.sources)
    for fact in answer.facts:
        number = sources.index(fact.source) + 1
        mark = "" if fact.source.verified else f", {UNVERIFIED}"
        click.echo(f"  {fact.what:{width}}  {fact.shown(Units(units))}{mark} [{number}]")
    _paragraphs("Cautions.", answer.cautions)
    click.echo("Sources.")
    for number, source in enumerate(sources, 1):
        click.echo(f"  [{number}] {source.words}")
    _paragraphs("", [STANDING])


def _paragraphs(head: str, lines: Iterable[str]) -> None:
    text = " ".join(filter(None, (head, *lines)))
    click.echo(textwrap.fill(text, _WIDTH))


def _kind(name: str, short: str) -> Callable[[Callable[..., Any]], click.Command]:
    return look_up.command(name, short_help=short, context_settings=_PLAIN)


@_kind("torque", "Torque of a bolt or thread.")
@click.argument("size")
@click.argument("nut", required=False)
@click.option("--drag", help="What the self-locking nut needs to turn, as `8 in-lb`.")
@_units
def torque_of(size: str, nut: str | None, drag: str | None, units: str) -> None:
    """Torque of a bolt or thread: SIZE as `AN4` or `1/4-28`, NUT as `tension` or `shear`."""
    from buildbook.reference import torque  # noqa: PLC0415 - one kind at a time
    from buildbook.reference.sizes import measured  # noqa: PLC0415

    kind = torque.nut_kind(nut) if nut else None
    say(torque.torque(size, kind, measured(drag, "torque") if drag else None), units)


@_kind("rivet", "Number, hole, driven head and length of a solid rivet.")
@click.argument("rivet")
@click.option("--grip", help="Thickness of everything it holds, for its length.")
@click.option("--length", "long", help="Its length, for its number.")
@_units
def rivet_of(rivet: str, grip: str | None, long: str | None, units: str) -> None:
    """Solid rivet: RIVET as `MS20470AD4-3.5` or `1/8`."""
    from buildbook.reference import rivets  # noqa: PLC0415
    from buildbook.reference.sizes import length  # noqa: PLC0415

    holds = length(grip, "a grip") if grip else None
    say(rivets.rivet(rivet, holds, length(long, "a length") if long else None), units)


@_kind("bend", "Smallest bend radius of sheet.")
@click.argument("material")
@click.argument("thickness")
@_units
def bend_of(material: str, thickness: str, units: str) -> None:
    """Bend radius: MATERIAL as `2024-T3`, THICKNESS as `.032`."""
    from buildbook.reference import bends  # noqa: PLC0415
    from buildbook.reference.sizes import length  # noqa: PLC0415

    say(bends.bend(material, length(thickness, "a thickness")), units)


@_kind("temper", "A temper in words.")
@click.argument("designation")
@_units
def temper_of(designation: str, units: str) -> None:
    """Say a temper in words: DESIGNATION as `2024-T3` or `T62`."""
    from buildbook.reference import tempers  # noqa: PLC0415

    say(tempers.temper(designation), units)


@_kind("dew-point", "Dew point, and the margin of a surface.")
@click.argument("air")
@click.argument("humidity", required=False)
@click.option("--wet-bulb", help="Wet-bulb temperature, in place of the humidity.")
@click.option("--pressure", help="Of the air, with a wet bulb.  [default: 1013.25 hPa]")
@click.option("--surface", help="Temperature of the surface, for its margin.")
@_units
def dew_point_of(
    air: str,
    humidity: str | None,
    wet_bulb: str | None,
    pressure: str | None,
    surface: str | None,
    units: str,
) -> None:
    """Dew point: AIR as `21` (°C) or `70 °F`, HUMIDITY as `71` (percent)."""
    from buildbook.reference import dewpoint  # noqa: PLC0415
    from buildbook.reference.sizes import measured  # noqa: PLC0415

    warm = measured(air, "temperature", bare="°C")
    if (humidity is None) == (wet_bulb is None):
        raise RefusedError("either the humidity or the wet bulb is needed, and not both")
    if humidity is not None:
        share = measured(humidity, "share", bare="%")
        point = dewpoint.dew_point(warm.to("degC"), share.to("percent"))
        title = f"Air of {warm.written}, {share.written}"
    else:
        wet = measured(wet_bulb or "", "temperature", bare="°C")
        at = measured(pressure, "pressure").to("pascal") if pressure else dewpoint.SEA_LEVEL
        point = dewpoint.from_wet_bulb(warm.to("degC"), wet.to("degC"), at)
        title = f"Air of {warm.written}, wet bulb {wet.written}"
    coated = measured(surface, "temperature", bare="°C") if surface else None
    say(dewpoint.answer(point, title, coated), units)


@_kind("spacing", "Edge distance and pitch of rivets and bolts.")
@click.argument("size")
@_units
def spacing_of(size: str, units: str) -> None:
    """Edge distance and pitch: SIZE of a rivet (`1/8`, its number) or a bolt (`AN4`)."""
    from buildbook.reference import spacing  # noqa: PLC0415

    say(spacing.spacing(size), units)


@_kind("blend", "How far to blend out removed corrosion.")
@click.argument("depth")
@_units
def blend_of(depth: str, units: str) -> None:
    """How far to blend out corrosion: DEPTH as `.005`."""
    from buildbook.reference import sheetmetal  # noqa: PLC0415
    from buildbook.reference.sizes import length  # noqa: PLC0415

    say(sheetmetal.blend(length(depth, "a depth")), units)


@_kind("deburr", "How deep to deburr a hole.")
@click.argument("thickness")
@_units
def deburr_of(thickness: str, units: str) -> None:
    """How deep to deburr a hole: THICKNESS as `.032`."""
    from buildbook.reference import sheetmetal  # noqa: PLC0415
    from buildbook.reference.sizes import length  # noqa: PLC0415

    say(sheetmetal.deburr(length(thickness, "a thickness")), units)


@_kind("setback", "Setback of a bend.")
@click.argument("radius")
@click.argument("thickness")
@click.argument("angle", default="90")
@_units
def setback_of(radius: str, thickness: str, angle: str, units: str) -> None:
    """Setback of a bend: inside RADIUS, THICKNESS, ANGLE in degrees (90)."""
    from buildbook.reference import sheetmetal  # noqa: PLC0415
    from buildbook.reference.sizes import length, measured  # noqa: PLC0415

    degrees = measured(angle, "angle", bare="deg").to("degree")
    inside = measured(radius, "length", bare="in")
    say(sheetmetal.setback(inside, length(thickness, "a thickness"), degrees), units)


@_kind("shelf-life", "Last day of use, counted in months.")
@click.argument("made")
@click.argument("life", nargs=-1, required=True)
@_units
def shelf_life_of(made: str, life: tuple[str, ...], units: str) -> None:
    """Last day of use: MADE as `2026-01-31` or `2026-01`, LIFE as `12` months or `code H`."""
    from buildbook.reference import shelflife  # noqa: PLC0415

    say(shelflife.shelf_life(made, " ".join(life)), units)


@_kind("rule", "What a limit that names a rule allows.")
@click.argument("words", nargs=-1)
@_units
def rule_of(words: tuple[str, ...], units: str) -> None:
    """Say what a limit that names a rule allows: WORDS as `edge distance 1/8 flush`.

    Without WORDS the rules are listed, each with an example.
    """
    from buildbook.reference.rules import RULES, limit_by_rule  # noqa: PLC0415

    if not words:
        for rule in RULES.values():
            click.echo(rule.example)
        return
    text = " ".join(words)
    limit = limit_by_rule(text)
    say(
        Answer(text, (Fact("Limit", limit.low, limit.high, limit.source),), (limit.caution,)), units
    )


@_kind("hazard", "What a hazard does, and what protects.")
@click.argument("words", nargs=-1, required=True)
def hazard_of(words: tuple[str, ...]) -> None:
    """Say what a hazard does and what protects: WORDS as `chromate primer`."""
    from buildbook.reference import hazards  # noqa: PLC0415

    hazard = hazards.find(" ".join(words))
    click.echo(hazard.title)
    _paragraphs("", [hazard.harm])
    for line in hazard.protection:
        click.echo(textwrap.fill(line, _WIDTH, initial_indent="  - ", subsequent_indent="    "))
    click.echo("Sources.")
    for number, source in enumerate(hazard.sources, 1):
        click.echo(f"  [{number}] {source.words}")
    _paragraphs("", [hazards.FIRST])
