"""Setting pages with Typst: templates are files beside this one, records reach them as data."""

import json
from datetime import UTC, date, datetime, time
from io import BytesIO
from pathlib import Path
from typing import Any

from buildbook.handover.labels import Label
from buildbook.handover.stock import Stock

_HERE = Path(__file__).parent
_QUIET = 4
"""Modules left white around a QR code (ISO/IEC 18004)."""
READABLE = 0.33
"""Millimetres a module of a QR code should have to be read by a phone (common practice)."""
_LARGEST = 26.0
_SHORT_FACT = 14
_SHARE = 0.42
"""Of a label's width, at most so much is given to the code."""


class CannotSetError(Exception):
    """The pages cannot be set; the message says why."""


def set_pages(
    template: str, data: dict[str, Any], on: date | None, *, pictures: Path | None = None
) -> bytes:
    """Set a template of this folder to a PDF. `on` is the date the file says it was made.

    `pictures` is the folder of the pictures it names, as `/NAME.jpg`. The same template, data and
    date give the same bytes. Raises CannotSetError.
    """
    text = json.dumps(data, ensure_ascii=False)
    return set_files({"main.typ": (_HERE / template).read_bytes()}, text, on, pictures=pictures)


def set_files(
    files: dict[str, bytes],
    text: str,
    on: date | None,
    *,
    pictures: Path | None = None,
    standard: str = "",
) -> bytes:
    """Set a template of several files, of which the first is `main.typ`, to a PDF.

    `text` is its data as JSON; `standard` is the kind of PDF, as typst names it. Otherwise as
    `set_pages`. Raises CannotSetError.
    """
    import typst  # noqa: PLC0415 - large, and most commands set nothing

    made = datetime.combine(on, time(), UTC) if on else datetime(1970, 1, 1, tzinfo=UTC)
    setter: Any = typst  # its stubs know no template of several files
    try:
        pdf: bytes = setter.compile(
            files,
            **_settings(text, pictures),
            format="pdf",
            pdf_standards=[standard] if standard else [],
            timestamp=made,
        )
    except typst.TypstError as error:
        raise CannotSetError(f"the pages could not be set: {error.message}") from None
    return pdf


def query_files(
    files: dict[str, bytes], text: str, selector: str, *, pictures: Path | None = None
) -> Any:
    """Set a template as `set_files` does, and give the one value it holds under a label.

    Raises CannotSetError.
    """
    import typst  # noqa: PLC0415

    setter: Any = typst
    try:
        found = setter.query(files, selector, field="value", one=True, **_settings(text, pictures))
    except (typst.TypstError, RuntimeError) as error:
        said = getattr(error, "message", error)
        raise CannotSetError(f"the pages could not be set: {said}") from None
    return json.loads(found)


def _settings(text: str, pictures: Path | None) -> dict[str, Any]:
    return {
        "root": pictures or _HERE,
        "font_paths": [_HERE / "fonts"],
        # The fonts of the machine only serve scripts that those brought along lack.
        "ignore_system_fonts": has_letters_for(text),
        "sys_inputs": {"data": text},
    }


def has_letters_for(text: str) -> bool:
    """Tell whether the fonts brought along will do: for Latin, Greek, Cyrillic, punctuation."""
    return all(char < "\u0530" or "\u1e00" <= char < "\u2300" for char in text)


def label_sheets(
    labels: list[Label], stock: Stock, *, start: int = 1, title: str, on: date | None
) -> bytes:
    """Set labels on sheets, the first of them on label `start` of the first sheet (from 1).

    `on` is the date of the file. Raises ValueError when the sheet has no such label, and
    CannotSetError.
    """
    sheets: list[list[dict[str, Any]]] = []
    for label, (sheet, x, y) in zip(labels, stock.places(len(labels), start), strict=True):
        if sheet == len(sheets):
            sheets.append([])
        sheets[-1].append(
            {
                "x": x,
                "y": y,
                "label": label.label,
                "name": label.name,
                "facts": ", ".join(_kept_whole(f) for f in (label.hand, *label.facts) if f),
                "side": label.side,
                "address": label.address,
                "qr": _qr_svg(label.address) if label.address else "",
            }
        )
    data = {
        "title": title,
        "dated": on is not None,
        "sheet": stock.sheet,
        "label": stock.label,
        "inset": stock.inset,
        "marks": stock.marks(),
        "qr": code_side(stock),
        "sheets": sheets,
    }
    return set_pages("labels.typ", data, on)


def _kept_whole(fact: str) -> str:
    """Keep a short fact, as `bin C6`, on one line."""
    return fact.replace(" ", "\N{NO-BREAK SPACE}") if len(fact) <= _SHORT_FACT else fact


def code_side(stock: Stock) -> float:
    """Return the side of a QR code with its white border on this stock, in millimetres."""
    width, height = (n - 2 * inset for n, inset in zip(stock.label, stock.inset, strict=True))
    return min(height, width * _SHARE, _LARGEST)


def module_size(address: str, stock: Stock) -> float:
    """Return the side of one module of an address's QR code on this stock, in millimetres."""
    modules: int = _qr(address).symbol_size(border=_QUIET)[0]
    return code_side(stock) / modules


def _qr(address: str) -> Any:
    import segno  # noqa: PLC0415

    return segno.make_qr(address, error="m")


def _qr_svg(address: str) -> str:
    svg = BytesIO()
    _qr(address).save(svg, kind="svg", border=_QUIET, omitsize=True, light="white", xmldecl=False)
    return svg.getvalue().decode()
