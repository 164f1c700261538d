"""One module a place of the page: its dataclasses and its routes. A new place is a module here and its line in ROUTERS."""

from ingle.faces.web.pages import doors, drawer, grounds, hand, house, look, salt

ROUTERS = (doors.router, hand.router, drawer.router, grounds.router, house.router, salt.router, look.router)
