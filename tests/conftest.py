"""What every run of the tests ends with: the skipped tests by name, and the studies that are out of date."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

from studies.stamp import stale_studies

# A shared or slow machine must not fail a property for its pace alone.
settings.register_profile("patient", deadline=None)
settings.register_profile("patient-ci", deadline=None, derandomize=True, database=None)
settings.load_profile("patient-ci" if os.environ.get("CI") else "patient")


def _skips(config: pytest.Config) -> list[str]:
    """Name and reason of everything skipped, whole modules included."""
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    reports = reporter.stats.get("skipped", []) if reporter else []
    return [f"{report.nodeid}: {_reason(report)}" for report in reports]


def _reason(report: pytest.TestReport | pytest.CollectReport) -> str:
    words = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
    return words.removeprefix("Skipped: ")


def pytest_sessionfinish(session: pytest.Session) -> None:
    """With LOOSEENDS_FAIL_ON_SKIP=1 a run that left something out has failed."""
    if session.exitstatus == pytest.ExitCode.OK and _skips(session.config) and _fails_on_skip():
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def _fails_on_skip() -> bool:
    return os.environ.get("LOOSEENDS_FAIL_ON_SKIP") == "1"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """List what this run does not vouch for."""
    if stale := stale_studies():
        terminalreporter.section("studies out of date")
        terminalreporter.line(f"computed with other code or data, run `make study` again: {', '.join(stale)}")
    skipped = _skips(config)
    terminalreporter.section("left out")
    for line in skipped or ["nothing was skipped"]:
        terminalreporter.line(line)
    if skipped and _fails_on_skip():
        terminalreporter.line("LOOSEENDS_FAIL_ON_SKIP=1: a skipped test counts as a failure", red=True)
