"""Echoes: complaints that only repeat an earlier one in other words.

A value that was told and left out makes what needs it look incomplete. Told twice, one mistake
would look like two, and the second would send the builder to the wrong place.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable

from buildbook.records.kinds import kind_of
from buildbook.records.problems import Problem, nearest
from buildbook.records.record import fold

# What a check concludes from the absence of something, and the fields whose loss may be the reason:
# in the same file, or in any file of some kinds.
_IN_ONE_FILE = {
    "no-hours": {"hours", "from", "to", "work"},
    "step-without-part": {"steps", "parts", "without parts"},
    "pieces-of-what": {"parts", "work"},
    "quantity-disagrees": {"pieces", "quantity"},
    "bad-pieces": {"pieces", "label"},
    "no-air": {"air"},
    "air-outside": {"surface"},
    "shelf-life-alone": {"made", "expires"},
    "no-reason": {"why"},
}
_IN_KINDS = {
    "part-without-step": (("sections",), {"steps", "parts"}),
    "photo-unused": (("sessions", "squawks"), {"photos", "file", "photo", "squawks", "closed"}),
    "clip-unused": (("sessions",), {"clips", "file"}),
    "unknown-inspection": (("sections",), {"steps", "inspections"}),
    "out-of-order": (
        ("sessions", "parts"),
        {"work", "operation", "parts", "pieces", "quantity", "label", "route"},
    ),
    "unknown-piece": (("parts",), {"pieces", "quantity", "label"}),
    "outside-limit": (
        ("sessions", "sections", "parts"),
        {"values", "min", "max", "rule", "limits", "required readings", "squawk", "squawks"},
    ),
    "finished-twice": (("sessions",), {"reopened"}),
    "signed-twice": (("sessions",), {"reopened"}),
    "not-finished-before": (("sessions",), {"finished"}),
    "calibrated-after-use": (("tools",), {"calibrated"}),
}
_FIELDS = set().union(*_IN_ONE_FILE.values(), *(fields for _, fields in _IN_KINDS.values()))
# Work that is told to be unclear may be the earlier work that another one seems to lack.
_UNCLEAR_WORK = {"unknown-piece", "unknown-operation", "unknown-part", "pieces-of-what"}
_OF_A_TORN_RECORD = {"missing-field", "no-step", "half-a-span", "break-alone"}


def without_echoes(
    told: Iterable[Problem],
    concluded: Iterable[Problem],
    torn: Collection[str],
    broken: Collection[str],
) -> list[Problem]:
    """Return all problems but echoes.

    `told` was found in single records, `concluded` by laying them side by side. `torn` are the
    files in which something could not be parsed, `broken` the kinds of which a record is missing.
    """
    in_file: dict[str, set[str]] = defaultdict(set)
    in_kind: dict[str, set[str]] = defaultdict(set)
    kept: list[Problem] = []
    for problem in told:
        file, path = problem.place.file, problem.place.path
        at_top = len(path) <= 1 and not any(isinstance(s, int) for s in path)
        if not (at_top and file in torn and problem.code in _OF_A_TORN_RECORD):
            kept.append(problem)
        names = {s for s in path if isinstance(s, str)}
        if problem.code == "unknown-field":  # a slip in a field's name loses that field
            names.add(nearest(fold(str(path[-1])), _FIELDS))
        in_file[file] |= names
        if kind := kind_of(file):
            in_kind[kind.name] |= names
    concluded = list(concluded)
    codes = {p.code for p in concluded}
    hidden = {"out-of-order"} if _UNCLEAR_WORK & codes else set()
    hidden |= {"unknown-piece"} if "bad-pieces" in codes else set()
    for problem in concluded:
        file = problem.place.file
        if problem.code in _IN_ONE_FILE:
            echo = file in torn or not in_file[file].isdisjoint(_IN_ONE_FILE[problem.code])
        elif problem.code in _IN_KINDS:
            kinds, fields = _IN_KINDS[problem.code]
            echo = any(k in broken or not in_kind[k].isdisjoint(fields) for k in kinds)
        else:
            echo = False
        if not echo and problem.code not in hidden:
            kept.append(problem)
    return kept
