"""Money: amounts exact to the last decimal, and everything else refused in words."""

import contextlib
from decimal import ROUND_HALF_UP, Context, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.records.money import Money, parse_money, show_money
from buildbook.reference.currencies import CURRENCIES, decimals

CODES = st.sampled_from(sorted(CURRENCIES))


@pytest.mark.parametrize(
    ("written", "amount", "currency", "rate"),
    [
        ("48 EUR", "48", "EUR", None),
        ("EUR 48.50", "48.50", "EUR", None),
        ("  48eur ", "48", "EUR", None),
        ("120 USD at 0.92", "120", "USD", "0.92"),
        ("120.10 USD @ 0.9213", "120.10", "USD", "0.9213"),
        ("15000 JPY at 0.0061", "15000", "JPY", "0.0061"),
        ("0.001 KWD", "0.001", "KWD", None),
        ("0 EUR", "0", "EUR", None),
    ],
)
def test_reading(written: str, amount: str, currency: str, rate: str | None) -> None:
    money = parse_money(written)
    assert money.written == written
    assert (money.amount, money.currency) == (Decimal(amount), currency)
    assert money.rate == (Decimal(rate) if rate else None)


@pytest.mark.parametrize(
    "written",
    [
        "",
        "48",
        "EUR",
        "48 EUR EUR",
        "EUR 48 USD",
        "-48 EUR",
        "EUR -48",
        "\N{MINUS SIGN}48 EUR",
        "48,50 EUR",
        "1,250.00 EUR",
        "48 €",
        "48 XYZ",
        "48.505 EUR",
        "1.5 JPY",
        "120 USD at",
        "120 USD at -1",
        "120 USD at 0",
        "120 USD at 0,92",
        "120 USD at 1e3",
        "9999999999 EUR",
        "٤٨ EUR",
        "48 EUR for the lot",
    ],
)
def test_refusing(written: str) -> None:
    with pytest.raises(ValueError, match=r"`.*`"):
        parse_money(written)


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(ValueError):
        assert parse_money(text).amount >= 0


@given(CODES, st.integers(0, 10**9 - 1), CODES, st.integers(1, 10**9))
def test_an_amount_reads_back_and_is_rounded_to_the_currency(
    code: str, units: int, book: str, rate: int
) -> None:
    exactly = Context(prec=80)
    amount = Decimal(units).scaleb(-decimals(code))
    written = f"{amount:f} {code} at {Decimal(rate).scaleb(-4):f}"
    money = parse_money(written)
    assert money.amount == amount
    converted = money.in_currency(book)
    assert converted is not None
    if code == book:
        assert converted == amount
    else:
        exact = exactly.multiply(amount, Decimal(rate).scaleb(-4))
        unit = Decimal(1).scaleb(-decimals(book))
        assert converted == exact.quantize(unit, ROUND_HALF_UP)
        assert abs(converted - exact) * 2 <= unit
    shown, _, unit_shown = show_money(converted, book).replace(",", "").partition(" ")
    assert (Decimal(shown), unit_shown) == (converted, book)


@given(CODES, CODES)
def test_without_a_rate_another_currency_is_not_guessed(code: str, book: str) -> None:
    money = Money("", Decimal(1), code)
    assert money.in_currency(book) == (Decimal(1) if code == book else None)


def test_halves_go_up() -> None:
    assert parse_money("1 USD at 0.125").in_currency("EUR") == Decimal("0.13")
    assert parse_money("1 USD at 0.135").in_currency("EUR") == Decimal("0.14")
    assert parse_money("1 USD at 0.5").in_currency("JPY") == Decimal(1)


def test_showing() -> None:
    assert show_money(Decimal(1250), "EUR") == "1,250.00 EUR"
    assert show_money(Decimal("0.5"), "KWD") == "0.500 KWD"
    assert show_money(Decimal(15000), "JPY") == "15,000 JPY"
