"""One profile for property tests: the same examples every time, no deadline on a shared machine."""

from hypothesis import settings

settings.register_profile("ingle", deadline=None, derandomize=True, max_examples=60)
settings.load_profile("ingle")
