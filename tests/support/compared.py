"""Rules of two models that were compared: parts off one bolt up on the other."""

from __future__ import annotations

from app.fit.rules import Condition, Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import Grade

SAME_SPLINES = {
    "rules": "code,kind,grade,direction,chains,why,state\nX1,fit,bolts_up,one way,yes,laid side by side,open\n"
    "X2,fit,bolts_up,one way,yes,laid side by side,open\n",
    "rule_types": "rule,end,part_type\n"
    + "".join(f"{code},{end},rear axle shaft\n" for code in ("X1", "X2") for end in ("part", "target")),
    "rule_conditions": "rule,number,end,fact,op,values\nX1,1,part,model,any of,WL2\nX1,2,target,model,any of,HA1\n"
    "X1,3,between,axle splines,same,\nX2,1,part,model,any of,HA1\nX2,2,target,model,any of,TA1\n",
    "rule_evidence": "rule,number,kind\nX1,1,measured\nX2,1,measured\n",
}
"""Sheets: a rear axle shaft off the Longwagon in a Harrow with the same splines, and one off a Harrow in a Tansy."""


def compared(code: str, part_type: str, one: str, other: str, *asked: Condition, direction: Direction) -> Rule:
    """A measured rule from one model to another, with what it asks besides."""
    named = (Condition(End.PART, "model", Op.ANY_OF, (one,)), Condition(End.TARGET, "model", Op.ANY_OF, (other,)))
    return Rule(
        code=code,
        kind=RuleKind.FIT,
        grade=Grade.BOLTS_UP,
        direction=direction,
        state=RuleState.OPEN,
        why="compared",
        offered_types=frozenset({part_type}),
        wanted_types=frozenset({part_type}),
        conditions=(*named, *asked),
        evidence=(EvidenceLine(Evidence.MEASURED),),
        chains=True,
    )
