"""What libyaml cannot parse, said in the builder's words."""

import re

import yaml


class Refused(Exception):  # noqa: N818 - not an error of the program's
    """Something in the file that is not accepted, with its position from 1."""

    def __init__(self, code: str, message: str, advice: str, line: int, column: int) -> None:
        super().__init__(message)
        self.code, self.message, self.advice = code, message, advice
        self.line, self.column = line, column


def in_plain_words(error: yaml.MarkedYAMLError, text: str) -> Refused:
    """Say what is wrong with a text, at the place where the builder will see it."""
    said = f"{error.context or ''} {error.problem or ''}"
    at_start = re.search(r"simple key|quoted scalar|alias|anchor|tag", said)
    mark = (error.context_mark if at_start and "escape" not in said else None) or error.problem_mark
    lines = text.split("\n")
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    line = min(line, len(lines))
    while line > 1 and not lines[line - 1].strip():  # show the end of what was written last
        line -= 1
        column = len(lines[line - 1]) + 1
    written = lines[line - 1]
    column = min(column, len(written) + 1)
    if "\t" in written[: column + 1]:
        said, advice = "a tab is used for indenting here", "use spaces, as most editors can"
        return Refused("yaml-syntax", said, advice, line, written.index("\t") + 1)
    if written.lstrip().startswith(":"):
        said = "the name of a field is missing before this colon"
        return Refused("odd-key", said, "write `name: value`", line, written.index(":") + 1)
    slip = _opened(written, line, column)
    if slip is None and "mapping values" in said:
        slip = _slip_above(lines, line, column)
    if slip:
        return slip
    if "simple key" in said and re.match(r"\w", written[column - 1 :]):
        return missing_colon(written, line)
    for pattern, words, hint in _SYNTAX:
        if re.search(pattern, said):
            return Refused("yaml-syntax", words, hint, line, column)
    return Refused("yaml-syntax", f"this is not readable YAML: {error.problem}", "", line, column)


_VALUE = re.compile(r"[^\S\n]*(?:- +)*(?:[\w /-]+:[^\S\n]+)?(?P<value>\S.*)?")


def _opened(written: str, line: int, column: int) -> Refused | None:
    """Find a value whose first sign means something in YAML, where the builder meant plain text."""
    found = _VALUE.fullmatch(written)
    value = found and found["value"]
    if not found or not value:
        return None
    start = found.start("value")
    whole = "put quotes around the whole text, or start it on the next line after `|`"
    if value.startswith(("- ", "? ")) and column == start + 1:
        sign = value[0]
        what = "one entry of a list, which starts on a line of its own" if sign == "-" else "a key"
        said = f"a text that starts with `{sign} ` is taken for {what}"
        return Refused("yaml-syntax", said, whole, line, column)
    for sign, (end, kind) in _PAIRS.items():
        close = value.find(end, 1)
        if value[0] == sign and 0 < close < column - 1 - start:
            said = f"a value that starts with `{sign}` ends at the next `{end}`, and more follows"
            advice = f"{whole.replace('quotes', kind)}; or take away what follows"
            return Refused("yaml-syntax", said, advice, line, column)
    return None


_PAIRS = {
    '"': ('"', "single quotes"),
    "'": ("'", "double quotes"),
    "[": ("]", "quotes"),
    "{": ("}", "quotes"),
}
"""What opens a value that is no plain text, what closes it, and the quotes that may go around."""


def _slip_above(lines: list[str], line: int, column: int) -> Refused | None:
    """Find the slip in the line above: what libyaml complains about is only the next colon."""
    here = lines[line - 1]
    above = next((i for i in range(line - 2, -1, -1) if lines[i].strip()), None)
    if above is None or ": " in here[: column - 1]:
        return None
    if not re.search(r":(\s|$)", lines[above]):
        return (
            None if lines[above].lstrip()[0] in "#-|>" else missing_colon(lines[above], above + 1)
        )
    if _indent(here) > _indent(lines[above]):
        said = "this line is indented further than the one above, which has its value already"
        advice = "line it up with the fields of the same record"
        return Refused("yaml-syntax", said, advice, line, _indent(here) + 1)
    return None


def _indent(written: str) -> int:
    return len(written) - len(written.lstrip())


def missing_colon(written: str, line: int) -> Refused:
    """Say that a line is no field, and why."""
    if glued := re.match(r"\s*[\w -]+:(?=\S)", written):
        said, column = "a space is missing after this colon", glued.end()
    else:
        said, column = "a colon is missing in this line", _indent(written) + 1
    advice = "write `name: value`; indent a text that goes on from the line above"
    return Refused("yaml-syntax", said, advice, line, column)


_SYNTAX = (
    (r"nesting depth", "lists inside lists go too deep here", "write it flat"),
    (r"escape", "a backslash in double quotes is not understood here", "use single quotes"),
    (
        r"YAML document|directive|document start",
        "this line has a meaning in YAML that is not used here",
        "take it away, or put quotes around the text",
    ),
    (r"node content", "this cannot stand here", "take it away, or put quotes around the text"),
    (
        r"mapping values are not allowed",
        "a colon with a space after it is not expected here",
        "put quotes around text that holds a colon, or start the text on a new line after `|`",
    ),
    (
        r"quoted scalar",
        "a quotation mark is opened and not closed",
        "close it, or take it away; a text does not need quotes",
    ),
    (
        r"flow sequence",
        "a list opened with [ is not closed with ]",
        "close it, or start each entry on its own line with `- `",
    ),
    (r"flow mapping", "a { is not closed with }", "close it, or put quotes around the text"),
    (
        r"cannot start any token",
        "this character cannot start a value",
        "put quotes around the text",
    ),
    (
        r"undefined alias|alias|anchor",
        "text that starts with * or & needs quotes",
        "put quotes around it",
    ),
    (r"tag", "text that starts with ! needs quotes", "put quotes around it"),
    (
        r"block scalar|indentation indicator",
        "after | or > the text starts on the next line",
        "start it there, or put quotes around a text that starts with | or >",
    ),
    (
        r"simple key|could not find expected ':'",
        "a field is expected here, as `name: value`",
        "check for a missing colon, and that the text under `|` is indented",
    ),
    (
        r"block mapping|block end|block collection|block sequence|did not find expected '-'",
        "the indentation changes here in a way that does not fit the lines above",
        "line it up with the fields of the same record",
    ),
)
