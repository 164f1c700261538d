"""Memory that arrays give back and take again, thousands of times in one answer."""

from __future__ import annotations

import ctypes
import gc
import sys
from collections.abc import Iterator
from contextlib import contextmanager

_TRIM, _MMAP = -1, -3  # M_TRIM_THRESHOLD and M_MMAP_THRESHOLD of glibc's malloc.h
_PLENTY, _LARGEST = 1 << 30, 32 << 20  # [bytes]; a larger second one is refused by some versions


def keep_freed() -> bool:
    """Let the C library keep what arrays free, instead of handing it to the system and asking for it anew.

    For processes that end with their answer: memory stays at its highest mark. Arrays of half a megabyte otherwise cost a page
    fault for every four kilobytes at every use: measured, a third to a half of a history's time. The numbers do not change.

    Returns
    -------
    bool
        Whether it was done; only where the C library is glibc.
    """
    if not sys.platform.startswith("linux"):
        return False
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None)  # other C libraries do without, or take it and do nothing
    return mallopt is not None and bool(mallopt(_TRIM, _PLENTY)) and bool(mallopt(_MMAP, _LARGEST))


@contextmanager
def collector_waits() -> Iterator[None]:
    """Load a large program without looking for rubbish in between, and leave what it loaded out of every later search.

    Modules make millions of things that live as long as the program; going through them again and again was a tenth of the
    page's start, and would be a part of every search while it runs.
    """
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()
