"""Currencies: the codes in use, and how many decimals an amount may have.

Codes: those that the Unicode CLDR's supplemental data name as tender somewhere today (seen, as the
Babel package 2.18 ships it). Decimals: the minor units of ISO 4217, list one (seen in two re-hosted
copies of the list). CLDR gives fewer decimals for some currencies whose small coins are not used;
an amount on a bill may still have them.
"""

_CODES = frozenset(
    """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD
    CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP
    GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD
    KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN
    NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP
    SLE SOS SRD SSP STN SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VES VND VUV
    WST XAF XCD XCG XOF XPF YER ZAR ZMW ZWG
    """.split()
)
_DECIMALS = dict.fromkeys(
    "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF".split(), 0
) | dict.fromkeys("BHD IQD JOD KWD LYD OMR TND".split(), 3)

CURRENCIES = {code: _DECIMALS.get(code, 2) for code in sorted(_CODES)}
"""Decimals of an amount, by ISO 4217 code."""


def decimals(code: str) -> int:
    """Tell how many decimals amounts have: two where the currency is not in the table."""
    return CURRENCIES.get(code, 2)
