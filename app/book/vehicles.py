"""Finding donors and models by what people call them."""

from __future__ import annotations

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.book.schema import Donor, Model, VehicleHold
from app.book.tags import clean
from app.book.times import say_time
from app.book.work import Work
from app.errors import BadInput, NotFound, Refused


def find_donor(session: Session, said: str) -> Donor:
    """The donor of a stock number, vehicle tag or VIN.

    Raises:
        NotFound: none of that name is in the book.
    """
    name = clean(said)
    donor = session.scalar(
        select(Donor).where(or_(func.upper(Donor.stock_number) == name, Donor.tag == name, Donor.vin == name)).limit(1)
        if name
        else select(Donor).where(Donor.id < 0)
    )
    if donor is None:
        raise NotFound(f"no vehicle is called {said!r}", "Type its stock number, tag or VIN.", place="vehicle")
    return donor


def find_model(session: Session, said: str, year: int | None = None) -> Model:
    """The model of a key, or of words such as "Longwagon Light", in a model year if one is given.

    Raises:
        NotFound: no model answers to that.
        BadInput: several do; the remedy names them.
    """
    plain = " ".join(said.lower().split())
    models = session.scalars(select(Model).order_by(Model.key)).all()
    exact = [model for model in models if model.key.lower() == plain]
    if exact:
        return exact[0]
    wanted = set(plain.split())
    found = [model for model in models if wanted and wanted <= model_words(model)]
    if year is not None:
        found = [model for model in found if model.year_from <= year <= model.year_to]
    if len(found) == 1:
        return found[0]
    if not found:
        raise NotFound(f"no model is called {said!r}", "Take one of the yard's models.", place="model")
    keys = ", ".join(f"{model.key} ({say_model(model)})" for model in found)
    raise BadInput(f"{said!r} could be several models", f"Say which: {keys}.", place="model")


def model_words(model: Model) -> set[str]:
    """Every word a model may be called by."""
    text = f"{model.make} {model.name} {model.variant} {model.weight_class} {model.body_style}"
    return set(text.lower().replace(",", " ").split())


def say_model(model: Model) -> str:
    """A model in words: make, name, weight class."""
    return " ".join(word for word in (model.make, model.name, model.weight_class, model.variant) if word)


def say_vehicle(donor: Donor, model: Model | None) -> str:
    """A donor in words: year and model, or what was written about it."""
    if model is None:
        return donor.words or "vehicle of unknown make"
    return f"{donor.year or ''} {say_model(model)}".strip()


def refuse_if_held(work: Work, donor: Donor, doing: str) -> None:
    """Refuse what a hold on the vehicle blocks.

    Raises:
        Refused: an open hold blocks it; the words say until when.
    """
    holds = work.session.scalars(
        select(VehicleHold).where(VehicleHold.donor_id == donor.id, VehicleHold.released_at.is_(None))
    )
    for hold in holds:
        over = hold.ends is not None and hold.ends <= work.now
        if not over and (doing in hold.blocks or "everything" in hold.blocks):
            until = f"until {say_time(hold.ends)}" if hold.ends else "until released"
            raise Refused(
                f"{donor.stock_number} is held {until}: {hold.kind}",
                "Wait for the hold to end, or let the owner release it.",
                action=doing,
                subject=donor.stock_number,
                details={"hold": hold.kind, "until": hold.ends.isoformat() if hold.ends else None},
            )
