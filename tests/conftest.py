"""One profile for property tests, and an end that says what did not run."""

import os

import pytest
from hypothesis import settings

settings.register_profile("ingle", deadline=None, derandomize=True, max_examples=60)
settings.load_profile("ingle")


def pytest_terminal_summary(terminalreporter):
    """Name every test that was left out and why; nothing is left out in silence."""
    skipped = terminalreporter.stats.get("skipped", [])
    terminalreporter.section("did not run")
    for report in skipped:
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
        terminalreporter.write_line(f"{report.nodeid}: {reason}")
    if not skipped:
        terminalreporter.write_line("nothing: all of it ran")


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session, exitstatus):
    """CI demands all of it: a test left out fails the run."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    left_out = bool(reporter and reporter.stats.get("skipped"))
    if os.environ.get("INGLE_ALL") and left_out and exitstatus == 0:
        session.exitstatus = 1
