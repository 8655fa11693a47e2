"""Random examples are the same in every run of the build server, so that what fails there can be run again here.

Away from it they are new each time, and ``tests/test_fuzz.py`` draws new ones there too. Examples are drawn in
part from the constants of the modules that are loaded, so there all are loaded before any test: else the order of
tests would decide.
"""

from __future__ import annotations

import gc
import os
import signal
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

import pytest
from hypothesis import HealthCheck, settings

import planlint
from planlint.budget.own_threads import one_thread
from planlint.sheet import panel_cutting, strip_patterns
from tests.plans import FAULTY, SOUND
from tests.repositories import UNREAD

one_thread()
# As a run of the product does: plans, and tests of them, leave many small objects and hardly any rings of garbage.
gc.set_threshold(200_000, 20, 20)
# Whoever starts the tests may have these ignored, and what they start would ignore them too.
for ignored in (signal.SIGINT, *([signal.SIGHUP] if hasattr(signal, "SIGHUP") else [])):
    if signal.getsignal(ignored) is signal.SIG_IGN:
        signal.signal(ignored, signal.default_int_handler if ignored is signal.SIGINT else signal.SIG_DFL)
# How fast a machine is that does other things too says nothing about the tests.
settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("same each time", settings.get_profile("patient"), derandomize=True)
settings.load_profile("same each time" if os.environ.get("CI") else "patient")
if os.environ.get("CI"):
    for module in walk_packages(planlint.__path__, "planlint."):
        if not module.name.endswith("__main__"):
            import_module(module.name)


@pytest.hookimpl
def pytest_collection_finish() -> None:
    """What was collected stays until the end: looking through it for garbage, again and again, is time lost."""
    gc.collect()
    gc.freeze()


@pytest.fixture
def own_surroundings(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Nothing of whoever runs the tests: no cache key, no git, no width of a terminal."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
    for name in ("COLUMNS", "FORCE_COLOR", "GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def unhurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Small lay-outs, of which every way is tried: no search for them ends by the clock, however busy the machine."""
    monkeypatch.setattr(panel_cutting, "FREE_SECONDS", 300.0)
    monkeypatch.setattr(strip_patterns, "MOST_SECONDS", 600.0)
    monkeypatch.setattr(strip_patterns, "TIDY_SECONDS", 300.0)


@pytest.fixture(name="folder")
def collection(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """30 plans in two folders; every third has a fault, one cannot be read."""
    for number in range(30):
        at = tmp_path / ("frames" if number % 2 else "tables")
        at.mkdir(exist_ok=True)
        (at / f"plan{number:02}.plan").write_text(FAULTY if number % 3 == 0 else SOUND)
    (tmp_path / "frames" / "unread.plan").write_text(UNREAD)
    monkeypatch.chdir(tmp_path)
    return tmp_path
