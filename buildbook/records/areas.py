"""Places on a picture: points and boxes in fractions of its width and height, from the top left."""

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.names import bad


@dataclass(frozen=True, slots=True)
class Area:
    """A box; a point is a box without size. All fractions, 0 to 1, of the picture upright."""

    left: float
    top: float
    width: float = 0.0
    height: float = 0.0


def parse_area(written: str, numbers: int) -> Area:
    """Read `0.42, 0.61` (a point, 2 numbers) or `0.1, 0.2, 0.3, 0.4` (a box, 4 numbers).

    Raises ValueError with a sentence.
    """
    words = [w for w in re.split(r"[,\s]+", written.strip()) if w]
    what = "left, top" if numbers == 2 else "left, top, width, height"  # noqa: PLR2004
    if len(words) != numbers or not all(re.fullmatch(r"\d*\.?\d+%?", w) for w in words):
        raise ValueError(f"`{written}` is not {numbers} fractions ({what})")
    values = [float(w.rstrip("%")) / (100 if w.endswith("%") else 1) for w in words]
    area = Area(*values)
    if numbers == 4 and not (area.width and area.height):  # noqa: PLR2004
        raise ValueError(f"`{written}` is a box without size")
    if max(area.left, area.top, area.left + area.width, area.top + area.height) > 1.000001:  # noqa: PLR2004
        raise ValueError(f"`{written}` reaches past the edge of the picture")
    return area


def _field(numbers: int, example: str) -> BeforeValidator:
    def validate(value: Any) -> Any:
        if isinstance(value, list) and all(isinstance(v, str) for v in value):
            value = ", ".join(value)
        if not isinstance(value, str):
            return value
        try:
            return parse_area(value, numbers)
        except ValueError as error:
            advice = f"write fractions from 0 to 1, as `{example}`"
            raise bad("area", str(error), advice) from None

    return BeforeValidator(validate)


def _schema(example: str) -> WithJsonSchema:
    return WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "examples": [example]},
                {"type": "array", "items": {"type": "number", "minimum": 0, "maximum": 1}},
            ]
        }
    )


Point = Annotated[Area, _field(2, "0.42, 0.61"), _schema("0.42, 0.61")]
Box = Annotated[Area, _field(4, "0.1, 0.2, 0.3, 0.4"), _schema("0.1, 0.2, 0.3, 0.4")]
