"""Each text about a hazard, against what its public source says.

For each: the source as the text names it, and words that were read in it (in a stored copy or a
quotation) which the text has to carry. `swarf`, the bonding of fuel cans, the bin for rags and the
putting out of burning metal are from memory, and say so.
"""

import pytest

from buildbook.reference.answers import RefusedError
from buildbook.reference.hazards import FIRST, HAZARDS, find, hazards_of

READ = {
    "chromate primer": [
        # "lung cancer and nasal cancer"; "Dermal exposures may cause skin ulcers or allergic
        # reactions" (OSHA); elimination and substitution first (NIOSH).
        ("OSHA 3373", ["lung, nose", "ulcers", "allergy"]),
        ("NIOSH on hexavalent chromium", ["cancer", "sinuses", "without chromate"]),
    ],
    "isocyanates": [
        # "The invisible airborne mist"; "always wear air-fed breathing apparatus"; "'Water-based'
        # does not mean 'isocyanate-free'"; "even very low exposure levels can trigger an attack".
        ("HSE, Working with 2-pack", ["cannot be seen", "air-fed", "water-based", "attack"]),
        ("HSE, COSHH essentials MR2", ["booth", "asthma"]),
    ],
    "solvents": [
        # "dizziness"; "dermatitis"; "if they come into contact with your skin and get absorbed".
        ("HSE INDG273", ["dizzy", "skin", "Gloves"]),
        # "neurotoxic effects".
        ("NIOSH 87-104", ["nerves"]),
        # "In confined location, do not use solvents with a low flash point".
        ("FAA AC 43.13-1B", ["low flash point", "closed space"]),
    ],
    "sealants": [
        # "acrylic sealants"; "may follow weeks, months or even years of use".
        ("HSE, Dermatitis", ["allergic", "years", "nitrile gloves", "long-handled"]),
        ("HSE HSG262", ["skin"]),
    ],
    "rotating tools": [
        # "Gloves have been worn in a significant number of such accidents and increase the risk
        # of entanglement."
        ("HSE, Engineering", ["No gloves"]),
        ("OSHA 3080", ["Unplug"]),
    ],
    "eyes and hearing": [
        # "hazards from flying particles"; "drilling, ... riveting: spectacles with side
        # protection"; "85 decibels, A-weighted, as an 8-hour time-weighted average".
        ("29 CFR 1910.133", ["eyes"]),
        ("OSHA, eye and face", ["side shields", "riveting"]),
        ("NIOSH recommended exposure limit", ["85 dB(A)", "day"]),
    ],
    "aluminium dust": [
        # A letter about grinding, buffing and deburring; "metal dust such as aluminum".
        ("OSHA letter on aluminium dust", ["explodes"]),
        ("OSHA CPL 03-00-006", ["burns"]),
    ],
    "compressed air": [
        # "except where reduced to less than 30 p.s.i. and then only with effective chip guarding
        # and personal protective equipment".
        ("29 CFR 1910.242(b)", ["under 30 psi", "guard against chips", "eye protection"]),
        # "should not allow employees to use compressed air for cleaning themselves".
        ("OSHA letter on cleaning", ["Never at skin or clothes"]),
    ],
    "battery": [
        # "Wear gloves and suitable eye protection"; "a watch, ring, chain"; "insulated handles".
        ("HSE INDG139", ["Goggles and gloves", "rings, watch and chain", "insulated handles"]),
        # "Battery charging gives off flammable gas, hydrogen".
        ("HSE, COSHH essentials SR18", ["Charging gives off hydrogen"]),
    ],
    "fuel": [
        # "an empty container ... may also be unsafe"; "in the open air away from buildings"; "Do
        # not take petrol into any house".
        ("HSE, Staying safe", ["empty can", "Out of doors", "Not in a house", "vapour"]),
    ],
}


@pytest.mark.parametrize("name", READ)
def test_what_was_read_is_what_is_said(name):
    hazard = find(name)
    text = " ".join(hazard.sentences)
    for document, words in READ[name]:
        sources = [s for s in hazard.sources if s.name.startswith(document)]
        assert len(sources) == 1, document
        assert sources[0].verified
        for word in words:
            assert word in text, (document, word)


def test_every_verified_source_was_checked_here():
    for name, hazard in HAZARDS.items():
        checked = [document for document, _ in READ.get(name, [])]
        for source in hazard.sources:
            known = any(source.name.startswith(document) for document in checked)
            assert known is source.verified or source.document.startswith("OSHA CPL 03-00-017")


def test_every_hazard_has_protection_and_a_source():
    for hazard in HAZARDS.values():
        assert hazard.harm.endswith(".")
        assert hazard.protection
        assert all(line.endswith(".") for line in hazard.protection)
        assert hazard.sources
    assert not any(source.verified for source in HAZARDS["swarf"].sources)


def test_the_list_is_whole():
    assert list(HAZARDS) == [
        "chromate primer",
        "isocyanates",
        "solvents",
        "sealants",
        "rotating tools",
        "eyes and hearing",
        "aluminium dust",
        "compressed air",
        "swarf",
        "battery",
        "fuel",
    ]
    assert "safety sheet" in FIRST
    assert "local rules come first" in FIRST


def test_names_are_forgiving():
    assert find("Rotating-Tools") is HAZARDS["rotating tools"]
    with pytest.raises(RefusedError) as caught:
        find("cromate primer")
    assert caught.value.advice == "did you mean `chromate primer`?"
    assert hazards_of(["fuel", "fuel", "nothing"]) == (HAZARDS["fuel"],)
