"""The places beside the five of the bar: heat, loggers, trail, papers, how long it keeps, what went wrong, the phone, the sheet's boxes."""

from fastapi import APIRouter

from ingle.faces.web.pages import heat

router = APIRouter(include_in_schema=False)
for place in (heat,):
    router.include_router(place.router)
