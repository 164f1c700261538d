"""One module a place of the page: its dataclasses and its routes. A new place is a module here and its line in ROUTERS."""

from ingle.faces.web.pages import (
    book,
    book_new,
    demonstration,
    doors,
    dosing,
    drawer,
    grounds,
    hand,
    house,
    look,
    meal,
    pad,
    put_right,
    reading,
    run,
    salt,
)

ROUTERS = tuple(
    m.router for m in (doors, hand, meal, run, salt, book_new, book, pad, dosing, reading, put_right, demonstration, drawer, grounds, house, look)
)
