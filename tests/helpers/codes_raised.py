"""Which problem codes the code under test made while the tests ran; a full run that misses one fails.

A code counts when the package itself makes a problem of it, not when a test does. Workers of a parallel
run send theirs to the one who started them. Whoever runs a selection of the tests is asked for nothing.
"""

import sys
from collections.abc import Iterator

import pytest

from reconcile.values import problem as problems
from reconcile.values.catalogue import CODES, Code

RAISED: set[str] = set()
MISSED = pytest.StashKey[list[str]]()


class Recorded(dict[str, Code]):
    """The catalogue as ``problem()`` sees it: notes each code that a module of the package looks up."""

    def __getitem__(self, code: str) -> Code:
        maker = sys._getframe(2).f_globals.get("__name__", "")
        if maker.partition(".")[0] == "reconcile":
            RAISED.add(code)
        return super().__getitem__(code)


problems.CODES = Recorded(CODES)


def is_full_run(config: pytest.Config) -> bool:
    """Every test was asked for: none picked by path, name or mark, none left out, none stopped early."""
    option = config.option
    picked = config.args != config.getini("testpaths") or option.keyword or option.markexpr
    left_out = option.ignore or option.ignore_glob or option.deselect or option.collectonly
    again = getattr(option, "lf", False) or getattr(option, "last_failed", False)
    return not (picked or left_out or again or getattr(option, "stepwise", False))


def is_worker(config: pytest.Config) -> bool:
    return hasattr(config, "workeroutput")


@pytest.hookimpl(tryfirst=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    config = session.config
    if is_worker(config):
        config.workeroutput["codes"] = sorted(RAISED)
    elif exitstatus == pytest.ExitCode.OK and is_full_run(config):
        config.stash[MISSED] = sorted(CODES.keys() - RAISED)
        if config.stash[MISSED]:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: object, error: object) -> None:
    """A worker of pytest-xdist is done."""
    RAISED.update(getattr(node, "workeroutput", {}).get("codes", ()))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if missed := terminalreporter.config.stash.get(MISSED, []):
        terminalreporter.section("problem codes that no test raises", red=True)
        for line in lines_of(missed):
            terminalreporter.line(line)


def lines_of(missed: list[str]) -> Iterator[str]:
    yield from missed
    yield "Write a test whose input has the fault, or take the code out of reconcile/values/catalogue.py."
