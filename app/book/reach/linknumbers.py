"""The number that a link of a chain is kept by: of which rule, in which way it is met, and whether it is turned round.

An end of a rule has the number of the link that starts there: a link starts at the end of its own number, and ends at
the other of the two. The first ways of a rule stand beside one another; the next few of all rules above those.
"""

from __future__ import annotations

from app.fit.links.linkways import MOST_WAYS

TURNED = 1
"""The bit that is another in the number of the link turned round, and of the other end."""

WAY = 2
"""How far the numbers of one way and the next are apart."""

FIRST_WAYS = 8
"""So many ways of a rule stand together."""

OF_RULE = WAY * FIRST_WAYS
"""How far the numbers of one rule and the next are apart."""

STORY_BITS = 27
"""What stands above other numbers stands above so many bits: there is room for 8 million rules."""

STORY = (1 << STORY_BITS) - 1
"""The last number of those that hold the first ways."""

LINK_BITS = STORY_BITS + (MOST_WAYS // FIRST_WAYS - 1).bit_length()
"""No link has a number of more bits."""


def way_number(way: int) -> int:
    """How far the number of a rule's way is from that of its first."""
    return (way // FIRST_WAYS << STORY_BITS) + WAY * (way % FIRST_WAYS)


def link_number(rule_id: int, back: bool, way: int) -> int:
    """The number of a link."""
    return OF_RULE * rule_id + way_number(way) + back * TURNED


def rule_of(link: int) -> int:
    """The id of the rule that a link is made of."""
    return (link & STORY) // OF_RULE


RUNS = tuple(way_number(way) for way in range(0, MOST_WAYS, FIRST_WAYS))
"""How far the first number of each run of `OF_RULE` numbers that belong to a rule is from the first of them all."""
