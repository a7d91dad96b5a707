"""What can hurt in the work, and the usual protection: general practice, with public sources.

The texts are short on purpose. The product's safety sheet and local rules come first, and are
said to wherever a text is shown.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.records.problems import did_you_mean
from buildbook.reference.answers import RefusedError
from buildbook.reference.source import Source, Sure

FIRST = (
    "General practice. The product's safety sheet, the tool's manual and local rules come first."
)
"""Said with every text."""


@dataclass(frozen=True, slots=True)
class Hazard:
    """Something that can hurt."""

    name: str
    """As an operation cites it: `chromate primer`."""
    title: str
    harm: str
    """What it does, in a sentence."""
    protection: tuple[str, ...]
    """The usual protection, a sentence each."""
    sources: tuple[Source, ...]

    @property
    def anchor(self) -> str:
        """Its place on the page Reference."""
        return f"hazard-{self.name.replace(' ', '-')}"

    @property
    def sentences(self) -> tuple[str, ...]:
        """Harm and protection, a sentence each."""
        return (self.harm, *self.protection)


def _seen(document: str, table: str = "", edition: str = "", note: str = "") -> Source:
    return Source(document, table, edition, Sure.SEEN, note)


_ALL = (
    Hazard(
        "chromate primer",
        "Chromate primer",
        "Hexavalent chromium in the primer causes cancer of the lung, nose and sinuses, and ulcers "
        "and allergy of the skin.",
        (
            "Use a primer without chromate where the plans allow one.",
            (
                "Never spray it or sand it dry without extraction and the respirator that its "
                "safety sheet names; gloves and overalls that stay in the workshop."
            ),
            "Vacuum or wipe wet, never sweep or blow; wash before eating.",
        ),
        (
            _seen("OSHA 3373, Hexavalent Chromium", "", "2009", "in part"),
            _seen("NIOSH on hexavalent chromium", "", "", "quoted"),
        ),
    ),
    Hazard(
        "isocyanates",
        "Isocyanates",
        "Two-pack paints and foams can hold isocyanates: their mist, which cannot be seen, causes "
        "asthma for life, after which a trace brings an attack; the hardener harms the skin.",
        (
            "Spray only with air-fed breathing apparatus, in a booth: a filter mask is not enough.",
            "Keep the visor down until the mist has cleared, and everybody else out.",
            "Nitrile gloves for mixing and cleaning; water-based does not mean free of them.",
        ),
        (
            _seen("HSE, Working with 2-pack isocyanate paints", "web page"),
            _seen("HSE, COSHH essentials MR2", "spraying two-pack products"),
            _seen("OSHA CPL 03-00-017", "", "20 June 2013", "in part"),
        ),
    ),
    Hazard(
        "solvents",
        "Solvents and thinners",
        "Vapour makes dizzy, harms nerves over years and burns; the liquid takes the fat out of "
        "the skin and goes through it.",
        (
            "Fresh air or extraction, and no flame, heater, spark or cigarette.",
            "Gloves that the safety sheet names, and never solvent to wash hands.",
            "No thinners with a low flash point inside a closed space.",
            "Rags into a closed metal bin (from memory).",
        ),
        (
            _seen("HSE INDG273, Working safely with solvents"),
            _seen("NIOSH 87-104, Organic Solvent Neurotoxicity", "Bulletin 48", "March 1987"),
            _seen("FAA AC 43.13-1B", "p. 6-18", "9/8/98"),
        ),
    ),
    Hazard(
        "sealants",
        "Sealants and resins",
        "Uncured sealant and its hardener can make the skin allergic, at once or after years, and "
        "then for good.",
        (
            "Keep it off the skin: nitrile gloves, changed when dirty, and long-handled tools.",
            "Fresh air; wash with soap and water, not with solvent.",
            "Let leftovers cure before they are binned.",
        ),
        (
            _seen("HSE, Dermatitis in construction", "web pages", "2010"),
            _seen("HSE HSG262, Managing skin exposure risks at work", "", "2015", "in part"),
        ),
    ),
    Hazard(
        "rotating tools",
        "Rotating tools and gloves",
        "A drill or a cutter takes hold of a glove, a sleeve or hair and pulls the hand in; a bit "
        "that grabs throws the work.",
        (
            "No gloves, rings, loose sleeves or loose hair at anything that turns.",
            "Clamp the work; keep hands out of the line of the bit.",
            "Unplug it, or take the air off, before changing the bit.",
        ),
        (
            _seen("HSE, Engineering: frequently asked questions", "emery cloth and gloves"),
            _seen("OSHA 3080, Hand and Power Tools", "", "2002", "in part"),
        ),
    ),
    Hazard(
        "eyes and hearing",
        "Eye and hearing protection",
        "Chips and rivet stems hit eyes; riveting and cutting deafen, slowly and for good, from "
        "85 dB(A) over a day.",
        (
            "Glasses with side shields for everybody in the room, goggles for splashes.",
            "Plugs or muffs for whoever drives and whoever bucks, and for those who watch.",
        ),
        (
            _seen("29 CFR 1910.133", "(a)(1)", "", "quoted"),
            _seen("OSHA, eye and face protection selection", "Table 1: drilling, riveting"),
            _seen("NIOSH recommended exposure limit for noise", "85 dB(A)", "1998", "quoted"),
        ),
    ),
    Hazard(
        "aluminium dust",
        "Aluminium dust",
        "Fine aluminium dust burns and explodes; grinding steel gives the spark that lights it.",
        (
            "Keep it from gathering: clean up after each session, without blowing it about.",
            "No grinding of steel at the same wheel, vacuum cleaner or bench.",
            (
                "No ordinary vacuum cleaner for fine sanding dust, and none that holds wet dust "
                "for days, as it gives off hydrogen."
            ),
            "Never water on burning metal: dry sand, or an extinguisher for metal fires.",
        ),
        (
            _seen("OSHA letter on aluminium dust from grinding and deburring", "", "23 May 2016"),
            _seen("OSHA CPL 03-00-006, combustible dust", "metal dust", "", "quoted"),
            Source("Fires of metal", "no water; dry sand", "", Sure.MEMORY),
        ),
    ),
    Hazard(
        "compressed air",
        "Compressed air",
        "A jet drives chips into eyes and air through the skin; a hose that comes off whips.",
        (
            "Never at skin or clothes, your own or another's.",
            (
                "For cleaning under 30 psi (2 bar) at the nozzle, with a guard against chips and "
                "with eye protection; a brush or a vacuum cleaner is better."
            ),
            "Take the pressure off before a tool is changed.",
        ),
        (
            _seen("29 CFR 1910.242(b)", "", "", "quoted"),
            _seen("OSHA letter on cleaning clothes with air", "", "14 January 1994"),
        ),
    ),
    Hazard(
        "swarf",
        "Swarf and sharp edges",
        "Chips and fresh edges cut, and long curls are pulled in by the bit.",
        (
            "A brush or a hook, never fingers, and with the tool stopped.",
            "Gloves to carry sheet, off again at anything that turns.",
            "Deburr edges before parts are handled.",
        ),
        (Source("HSE HSG129, Engineering workshops", "swarf", "", Sure.MEMORY),),
    ),
    Hazard(
        "battery",
        "Batteries",
        "Charging gives off hydrogen, which explodes; acid burns; a ring or a spanner across the "
        "poles melts.",
        (
            "Goggles and gloves; rings, watch and chain off; tools with insulated handles.",
            "Charge in fresh air with no spark near, and not longer than needed.",
            "Cover the poles while working near them.",
        ),
        (
            _seen("HSE INDG139, Using electric storage batteries safely"),
            _seen("HSE, COSHH essentials SR18", "charging batteries"),
        ),
    ),
    Hazard(
        "fuel",
        "Fuel",
        "Petrol gives off vapour that runs along the floor to a flame and explodes; an empty can "
        "does so too.",
        (
            "Out of doors, with nothing alight and nothing that sparks, in cans made for it.",
            "Not in a house, and no more of it than is needed.",
            "Join can, funnel and aircraft by a wire before pouring (from memory).",
        ),
        (
            _seen("HSE, Staying safe while storing and using petrol", "web page"),
            Source("Fuelling aircraft", "bonding", "", Sure.MEMORY),
        ),
    ),
)
HAZARDS = {hazard.name: hazard for hazard in _ALL}
"""By the name operations cite."""


def find(name: str) -> Hazard:
    """Find a hazard by its name, whatever its capitals and hyphens. Raises RefusedError."""
    plain = " ".join(name.casefold().replace("-", " ").replace("_", " ").split())
    if plain in HAZARDS:
        return HAZARDS[plain]
    advice = did_you_mean(plain, HAZARDS, name="hazards")
    raise RefusedError(f"no hazard is called `{' '.join(name.split())}`", advice)


def hazards_of(names: Iterable[str]) -> tuple[Hazard, ...]:
    """Give the texts of several hazards, each once, leaving out what is unknown."""
    return tuple(HAZARDS[name] for name in dict.fromkeys(names) if name in HAZARDS)
