"""What is left when all rules that speak in one world are weighed against each other (1.5 and its readings)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.fit.knowledge import Knowledge
from app.fit.rules import Companion, End, RuleKind
from app.fit.terms import Grade
from tests.fit.oracle_rules import Directed, Pair, more_specific
from tests.fit.oracle_worlds import OpenQuestion


@dataclass(frozen=True)
class Word:
    """What one rule says in one world; `taped` when it was measured on this very pair."""

    directed: Directed
    grade: Grade
    taped: bool = False

    @property
    def companions(self) -> tuple[Companion, ...]:
        return self.directed.rule.companions


@dataclass(frozen=True)
class Weighed:
    """The grade of one world and the words that are left."""

    grade: Grade
    words: tuple[Word, ...] = ()


def worst(grades: Sequence[Grade]) -> Grade:
    """The one further down the table of 1.1."""
    return max(grades, key=lambda grade: grade.rank)


def spoken(pair: Pair, rules: Sequence[Directed]) -> list[Word]:
    """Every rule that speaks of the pair; one that speaks both ways has said it once, as it is written."""
    found: dict[str, Word] = {}
    for directed in rules:
        grade = pair.says(directed)
        if grade is not None:
            found.setdefault(directed.rule.code, Word(directed, grade, _taped(pair, directed, grade)))
    return list(found.values())


def _taped(pair: Pair, directed: Directed, grade: Grade) -> bool:
    """Numbers held between this very part and this very target, both measured, outside the doubt band."""
    numbers = [each for each in directed.conditions if directed.is_number(each)]
    return (
        directed.numeric
        and not directed.disputed
        and grade is not Grade.MEASURE
        and bool(numbers)
        and not directed.changed
        and all(
            each.end is End.BETWEEN
            and each.fact in pair.part.measured
            and (each.other_fact or each.fact) in pair.target.measured
            for each in numbers
        )
    )


def weigh(know: Knowledge, words: Sequence[Word]) -> Weighed | None:
    """1.5 in its order; None where no rule speaks."""
    if not words:
        return None
    laws = [word for word in words if word.directed.rule.kind is RuleKind.LAW]
    if laws:
        return Weighed(worst([word.grade for word in laws]), tuple(laws))
    taped = [word for word in words if word.taped]
    firm = _stand(know, taped or words, words)
    # Whether a disputed rule overrules others while it waits is not said: both ways must come to the same.
    free = _stand(know, taped or words, [word for word in words if not word.directed.disputed])
    if firm.grade is not free.grade:
        raise OpenQuestion("a disputed rule that would overrule another")
    return free


def _stand(know: Knowledge, words: Sequence[Word], against: Sequence[Word]) -> Weighed:
    if words[0].taped:
        # Two rules that the same tape decides: the cautious one.
        return Weighed(worst([word.grade for word in words]), tuple(words))
    left = [word for word in words if not _beaten(know, word, against)]
    # All that are left are united (1.7.4): what is beaten is not, and casts no doubt any more.
    grade = _unite(know, left, left)
    # Nor whether hearsay that is itself in dispute still contradicts what was measured.
    if grade is not _unite(know, left, [word for word in left if word.directed.strong or not word.directed.disputed]):
        raise OpenQuestion("hearsay in dispute against a measured rule")
    return Weighed(grade, tuple(left))


def _unite(know: Knowledge, left: Sequence[Word], doubting: Sequence[Word]) -> Grade:
    """What is left comes to the worst grade; rules that contradict each other come to `measure`."""
    in_doubt = [word for word in left if word in doubting and _contradicted(know, word, doubting)]
    grades = [word.grade for word in left if word not in in_doubt]
    return worst([*grades, Grade.MEASURE] if in_doubt else grades)


def _beaten(know: Knowledge, word: Word, words: Sequence[Word]) -> bool:
    """A measured rule that is more specific beats it, or a measured one of equal reach beats a told one."""
    for other in words:
        if other.grade is word.grade or not other.directed.strong:
            continue
        if more_specific(know, other.directed, word.directed):
            return True
        nested = more_specific(know, word.directed, other.directed)
        if not nested and not word.directed.strong and not word.directed.disputed:
            return True
    return False


def _contradicted(know: Knowledge, word: Word, words: Sequence[Word]) -> bool:
    """Specific hearsay and general measured contradict each other: neither decides (1.5.4)."""
    for other in words:
        if other.grade is word.grade:
            continue
        for small, large in ((word, other), (other, word)):
            if (
                small.directed.strong
                or not large.directed.strong
                or not more_specific(know, small.directed, large.directed)
            ):
                continue
            return True
    return False
