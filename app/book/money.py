"""Money as whole cents: reading, writing, and rounding once, half a cent up."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

from app.errors import BadInput

MOST_DOLLARS = 10_000_000
CASH, CARD, CHECK = "cash", "card", "check"
PAID_HOW = (CASH, CARD, CHECK)


def cents(amount: Decimal) -> int:
    """A dollar amount as whole cents, half a cent rounded up.

    The sales-tax rule "carry to the third decimal, round up when it is greater than four" (for instance
    N.D.C.C. 57-39.4-25) is ROUND_HALF_UP on the exact product.
    """
    return int((amount * 100).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def parse_money(typed: str, *, place: str = "amount") -> int:
    """Dollars as typed ("1,150.00", "$75", "128") to cents; more than two decimals is refused."""
    amount = _amount(typed, place)
    if amount != amount.quantize(Decimal("0.01")):
        raise BadInput(f"{typed!r} has more than two decimals", "Type dollars and cents.", place=place)
    return cents(amount)


def parse_price(typed: str, *, place: str = "price") -> Decimal:
    """A price by the pound or ton as typed in dollars, to cents; a thousandth of a cent is the finest."""
    exact = _amount(typed, place) * 100
    if exact < 0 or exact != exact.quantize(Decimal("0.001")):
        raise BadInput(f"{typed!r} cannot be a price", "Type dollars, with five decimals at most.", place=place)
    return exact


def _amount(typed: str, place: str) -> Decimal:
    plain = typed.strip().replace("$", "").replace(",", "")
    try:
        amount = Decimal(plain)
    except InvalidOperation:
        raise BadInput(f"{typed!r} is not an amount of money", "Type dollars, such as 128.50.", place=place) from None
    if not amount.is_finite() or abs(amount) > MOST_DOLLARS:
        raise BadInput(f"{typed!r} is no amount a yard deals in", "Type dollars, such as 128.50.", place=place)
    return amount


def say_price(exact: Decimal) -> str:
    """A price in cents as dollars: two decimals, more only where it has them (9.46 cents is 0.0946)."""
    amount = (exact / 100).normalize()
    exponent = amount.as_tuple().exponent
    places = max(2, -exponent if isinstance(exponent, int) else 2)
    return f"{amount:,.{places}f}"


def dollars(amount: int, *, sign: bool = False) -> str:
    """Cents as dollars with two decimals and thousands commas: 128500 is 1,285.00."""
    text = f"{Decimal(abs(amount)) / 100:,.2f}"
    return f"-{text}" if amount < 0 else (f"+{text}" if sign else text)


def short_dollars(amount: int) -> str:
    """Dollars as they are said: no cents when there are none."""
    return dollars(amount).removesuffix(".00")


def percent_of(amount: int, percent: Decimal) -> int:
    """A percentage of an amount in cents, rounded once, half a cent up."""
    return cents(Decimal(amount) / 100 * percent / 100)
