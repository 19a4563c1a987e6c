"""The one currency of a plan: its prices carry the same sign, or none.

Nothing is converted: amounts in two currencies would be added up as if they were one.
"""

import re

from homestead.plan.fields import Fault

PRICED = (("change", "cost"), ("price", "cost"), ("fuel", "price"))
DOLLAR = "$"
_SIGN = re.compile(r"[$€£]|\b[A-Z]{3}\b")


def signs(raw):
    """Place and sign of each price that carries one, from a plan as typed."""
    for key, entry in PRICED:
        members = raw.get(key)
        for number, member in enumerate(members if isinstance(members, list) else ()):
            typed = member.get(entry) if isinstance(member, dict) else None
            typed = typed.get("value") if isinstance(typed, dict) else typed
            if isinstance(typed, str) and (found := _SIGN.search(typed)):
                yield (key, number, entry), found[0]


def sign_of(raw):
    """Sign of the plan's currency; the dollar's where no price carries one."""
    return next((sign for _, sign in signs(raw)), DOLLAR)


def one_currency(plan):
    """Fault for each price in another currency than the first."""
    first = sign_of(plan.raw)
    for where, sign in signs(plan.raw):
        if sign != first:
            yield Fault(where, f"must be in the plan's currency, {first}; got {sign}")


def money_text(amount, sign="$", places=0):
    """Amount of money in the plan's own currency.

    >>> money_text(1150.0), money_text(1150.0, "€"), money_text(2.6, "CHF", 2)
    ('$1,150', '€1,150', '2.60 CHF')
    """
    number = f"{amount:,.{places}f}"
    return f"{sign}{number}" if len(sign) == 1 else f"{number} {sign}"


def price_text(amount, sign="$"):
    """A price with its cents, where it has some.

    >>> price_text(2.6, "€"), price_text(240.0), price_text(1150.4)
    ('€2.60', '$240', '$1,150')
    """
    return money_text(amount, sign, 0 if amount >= 100 or amount == int(amount) else 2)
