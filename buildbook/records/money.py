"""Money: an amount as paid, exact to the last decimal, and what it was in the book's currency."""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from buildbook.records.names import bad
from buildbook.records.problems import did_you_mean
from buildbook.reference.currencies import CURRENCIES, decimals

_AMOUNT = r"[0-9]{1,9}(?:\.[0-9]{1,6})?"
_WRITTEN = re.compile(
    rf"(?:(?P<before>[A-Za-z]{{3}})\s*)?(?P<amount>{_AMOUNT})(?:\s*(?P<after>[A-Za-z]{{3}}))?"
    r"(?:\s*(?:\bat\b|@)\s*(?P<rate>.*))?"
)
_EXACT = Context(prec=60)
"""No amount times a rate has more digits, so that nothing is rounded but once."""
_RATE = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,9})?")


@dataclass(frozen=True, slots=True)
class Money:
    """What was paid."""

    written: str
    """As the builder wrote it."""
    amount: Decimal
    """In `currency`; never negative."""
    currency: str
    """ISO 4217 code."""
    rate: Decimal | None = None
    """Units of the book's currency that one unit of `currency` cost the builder."""

    def in_currency(self, currency: str) -> Decimal | None:
        """Return the amount in the book's currency; None where the rate is needed and not given.

        Each amount is rounded by itself, halves up, to the decimals of the currency: so sums of
        the amounts shown are the sums shown.
        """
        if self.currency == currency:
            return self.amount
        if self.rate is None:
            return None
        unit = Decimal(1).scaleb(-decimals(currency))
        return _EXACT.multiply(self.amount, self.rate).quantize(unit, ROUND_HALF_UP, _EXACT)


def parse_money(written: str) -> Money:
    """Read `48 EUR`, `EUR 48.50`, `120 USD at 0.92`.

    Raises ValueError with a sentence and, where it is more than how to write it, advice.
    """
    text = written.strip()
    if re.search(r"\d\s*,\s*\d", text):
        raise ValueError(f"`{written}` has a comma; write the amount with a point only")
    if re.match(r"(?:[A-Za-z]{3}\s*)?[-\N{MINUS SIGN}]", text):
        advice = "what came back is taken off the amount that was paid"
        raise ValueError(f"`{written}` is negative", advice)
    found = _WRITTEN.fullmatch(text)
    if not found or (found["before"] and found["after"]):
        raise ValueError(f"`{written}` is not an amount with its currency")
    code = (found["before"] or found["after"] or "").upper()
    if not code:
        raise ValueError(f"`{written}` does not say in which currency")
    if code not in CURRENCIES:
        raise ValueError(f"`{code}` is not a currency", did_you_mean(code, CURRENCIES))
    amount, most = Decimal(found["amount"]), decimals(code)
    if -int(amount.as_tuple().exponent) > most:
        some = {0: "no decimals", 2: "two decimals", 3: "three decimals"}[most]
        raise ValueError(f"`{written}` is finer than {code}, which has {some}")
    return Money(written, amount, code, _rate(found["rate"], written))


def _rate(text: str | None, written: str) -> Decimal | None:
    if text is None:
        return None
    advice = "the rate is what one unit cost in the book's currency, as in `120 USD at 0.92`"
    if not _RATE.fullmatch(text.strip()):
        raise ValueError(f"`{written}` does not say the rate as a number", advice)
    rate = Decimal(text.strip())
    if not rate:
        raise ValueError(f"`{written}` has a rate of nothing", advice)
    return rate


def show_money(amount: Decimal, currency: str) -> str:
    """Write an amount with the decimals of its currency: `1,250.00 EUR`."""
    return f"{amount:,.{decimals(currency)}f} {currency}"


def _field(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse_money(value)
    except ValueError as error:
        said, *more = map(str, error.args)
        example = "write it as `48 EUR`, or `120 USD at 0.92` with the rate you paid"
        raise bad("money", said, more[0] if more and more[0] else example) from None


Cash = Annotated[
    Money,
    BeforeValidator(_field),
    WithJsonSchema(
        {
            "type": ["string"],  # never a bare number: it would lack its currency
            "pattern": "^ *([A-Za-z]{3} *[0-9]|[0-9][0-9.]* *[A-Za-z]{3})",
            "examples": ["48 EUR", "120 USD at 0.92"],
        }
    ),
]
"""The type of a field that holds money."""
