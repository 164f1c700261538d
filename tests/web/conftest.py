"""Visitors of the page."""

import pytest
from tests.web.visitor import Visitor


@pytest.fixture
def fresh(tmp_path):
    """A visitor before the first start."""
    return Visitor(tmp_path)


@pytest.fixture
def visitor(tmp_path):
    """A visitor in a kitchen."""
    return Visitor(tmp_path).begin()
