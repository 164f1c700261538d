"""The places beside the five of the bar: heat, frozen, the small crafts of the bench, loggers, trail, papers, how long it keeps, what went wrong, the phone, the sheet's boxes."""

from fastapi import APIRouter

from ingle.faces.web.pages import (
    back,
    crackling,
    crafts,
    frozen,
    heat,
    keeping,
    loggers,
    mixed,
    packing,
    papers,
    phone,
    trail,
)

router = APIRouter(include_in_schema=False)
for place in (heat, frozen, loggers, trail, papers, packing, keeping, back, phone, crafts, crackling, mixed):
    router.include_router(place.router)
