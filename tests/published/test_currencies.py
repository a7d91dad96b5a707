"""Currencies, against the Unicode CLDR's supplemental data as the Babel package ships them.

CLDR gives no decimals to currencies whose small coins are out of use (as the Iraqi dinar), where
ISO 4217 still has them; so an amount may have more decimals here than CLDR shows, never fewer.
"""

from babel.core import get_global

from buildbook.reference.currencies import CURRENCIES, decimals

TENDER = {
    code
    for territory in get_global("territory_currencies").values()
    for code, _, ended, is_tender in territory
    if ended is None and is_tender
}
FRACTIONS = get_global("currency_fractions")


def test_codes_are_those_in_use() -> None:
    assert set(CURRENCIES) == TENDER


def test_decimals() -> None:
    for code in CURRENCIES:
        shown = FRACTIONS.get(code, FRACTIONS["DEFAULT"])[0]
        assert decimals(code) >= shown, code
        assert decimals(code) == shown or shown == 0, code


def test_decimals_named_by_iso_4217() -> None:
    """Seen in two re-hosted copies of list one: BHD 3, CLP 0, XOF 0, BIF 0, EUR 2, AFN 2."""
    named = {"BHD": 3, "CLP": 0, "XOF": 0, "BIF": 0, "EUR": 2, "AFN": 2}
    assert {code: decimals(code) for code in named} == named
