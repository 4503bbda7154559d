"""Money: Decimal from end to end, rounded where it is shown and nowhere before."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")


def rounded(amount: Decimal, step: Decimal = CENT) -> Decimal:
    """Return an amount rounded to a step, halves away from zero.

    Examples
    --------
    >>> rounded(Decimal("1.005")), rounded(Decimal("7.33"), Decimal("0.05"))
    (Decimal('1.01'), Decimal('7.35'))
    """
    steps = (amount / step).quantize(Decimal(1), ROUND_HALF_UP)
    return steps * step


def exact(value: float) -> Decimal:
    """Return a computed length, time or area as Decimal, to its sixth decimal.

    Examples
    --------
    >>> exact(0.1 + 0.2)
    Decimal('0.3')
    """
    return Decimal(repr(round(value, 6))).normalize()


def shown(amount: Decimal) -> str:
    """Return an amount with thin spaces between thousands and a real minus.

    Examples
    --------
    >>> shown(Decimal("-1234.50"))
    '\u2212\u20091\u2009234.50'
    """
    text = f"{abs(amount):,f}".replace(",", "\u2009")
    return f"\u2212\u2009{text}" if amount < 0 else text
