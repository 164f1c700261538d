"""Every operation of the interface with what nobody would send: schemathesis, bounded and repeatable. No answer is a fault of ours."""

import os
from pathlib import Path

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from ingle.faces.cli.offered import OFFERED
from ingle.faces.web.app import create_app
from ingle.faces.web.config import Config
from ingle.faces.web.security import Session
from ingle.jobs import kitchen as k

EXAMPLES = 200 if os.environ.get("INGLE_SOAK") else 8
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
_PATHS = create_app(Config("nowhere.notebook", Path("nowhere")), OFFERED).openapi()["paths"]  # nothing is opened before something is asked
OPERATIONS = sorted((path, method.upper()) for path, methods in _PATHS.items() for method in methods)


@pytest.fixture(scope="module")
def operations(tmp_path_factory):
    """The interface on a notebook with a kitchen."""
    place = tmp_path_factory.mktemp("page")
    app = create_app(Config(str(place / "kitchen.notebook"), place / "page"), OFFERED)
    k.begin(app.state.shelf.book(Session("x")), "Fernhollow", zone="Europe/London", prefix="FH")
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", app)
    yield {(op.ok().path, op.ok().method.upper()): op.ok() for op in schema.get_all_operations()}
    app.state.shelf.close()


@pytest.mark.parametrize(("path", "method"), OPERATIONS)
def test_no_request_is_a_fault_of_ours(operations, path, method):
    operation = operations[path, method]

    @given(case=operation.as_strategy())
    @settings(max_examples=EXAMPLES, derandomize=True, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    def asked(case):
        case.call_and_validate(checks=CHECKS)

    asked()
