"""Somebody's data: all that is kept of one customer as a person, and erasing it."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse

from haulm.jobs.florists.forget_person import forget_person
from haulm.jobs.journal.see_person import PersonKept, see_person
from haulm.rest.derived import Derived
from haulm.rest.wire import Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["florists"], dependencies=[only_for(Audience.OWNER)])


class PersonShape(Derived, of=PersonKept):
    """All that is kept of one person."""


class ErasedShape(Shape):
    """That a person is erased, and the key by which the books go on calling them."""

    key: str
    erased: bool


@router.get("/v1/customers/{customer}/kept")
def kept(desk: TheDesk, customer: str) -> PersonShape:
    """All that is kept of a customer as a person, to be looked at or handed over."""
    return PersonShape.told(see_person(desk, customer))


@router.post("/v1/customers/{customer}/erase", response_model=ErasedShape)
def erase(call: TheCall, customer: str) -> JSONResponse:
    """Erase name, address, phone, words and links of a customer, for good; orders and books stay, under the key."""

    def erased(work: UnitOfWork) -> ErasedShape:
        forget_person(work, customer)
        return ErasedShape(key=customer, erased=True)

    return call.answer(erased)
