"""Paper: sheets, tags, labels and records set by typst, in the house's own type, black only.

Each module makes a `press.Job` from plain things; `press.pdf`, `press.png` and `press.svg` print any job. The same
things give the same bytes: no time is on the paper but the one that was given.
"""
