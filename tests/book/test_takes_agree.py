"""What it would take to put one part on a vehicle is what an ask for that part answers, on all invented yards."""

from __future__ import annotations

from datetime import date

from sqlalchemy import select

from app.book.asking import ask
from app.book.schema import PartType
from app.book.takes import takes
from app.book.work import Book, Who
from tests.book.test_answers_agree import vehicles

TODAY = date(2026, 8, 12)
C1 = Who("C1", seat="counter")


def test_a_plan_for_one_part_is_an_answer_to_an_ask_for_it(any_yard: Book) -> None:
    """Of a part with sides a plan has both; a frame in one piece may be read as the body put across as well."""
    with any_yard.read() as session:
        names = session.scalars(select(PartType.name).where(~PartType.sided).order_by(PartType.name)).all()
    for number, name in enumerate(names):
        model, year = next(vehicles(any_yard, number), ("", 0))
        if not model:
            continue
        vehicle = f"{year} {model}"
        row = next(each for each in takes(any_yard, C1, name, vehicle, on=TODAY) if "your own body" not in each.reading)
        found = ask(any_yard, C1, "", vehicle=vehicle, part=name, on=TODAY, keep=False)
        assert not row.not_understood, name
        assert bool(row.plans) == bool(found.answers), (name, vehicle)
        for plan in row.plans:
            alike = [line for line in found.answers if set(line.tags) <= set(plan.tags)]
            assert plan.grade in {line.grade for line in alike}, (name, vehicle, plan.tags)
        refused = {line.tags[0] for line in found.do_not_sell}
        assert {said.split(": ")[1].split(" + ")[0] for said in row.refused} == refused, (name, vehicle)
