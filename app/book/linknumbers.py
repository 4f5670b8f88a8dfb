"""The number that a link of a chain is kept by: of which rule, in which way it is met, and whether it is turned round.

An end of a rule has the number of the link that starts there: a link starts at the end of its own number, and ends at
the other of the two.
"""

from __future__ import annotations

from app.fit.closure import MOST_WAYS

TURNED = 1
"""The bit that is another in the number of the link turned round, and of the other end."""

WAY = 2
"""How far the numbers of one way and the next are apart."""

RULE_BITS = (WAY * MOST_WAYS - 1).bit_length()
"""The rule's id stands above so many bits."""

OF_RULE = 1 << RULE_BITS
"""So many numbers belong to each rule, whether or not they are links."""


def link_number(rule_id: int, back: bool, way: int) -> int:
    """The number of a link."""
    return OF_RULE * rule_id + WAY * way + back * TURNED


def rule_of(link: int) -> int:
    """The id of the rule that a link is made of."""
    return link >> RULE_BITS


def numbers_of(rule_id: int) -> range:
    """Every number that belongs to a rule."""
    return range(OF_RULE * rule_id, OF_RULE * (rule_id + 1))
