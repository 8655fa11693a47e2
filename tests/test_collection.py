"""A collection: the same report from any number of workers, budgets that hold, and how far a run is."""

from __future__ import annotations

import json
import multiprocessing.spawn
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from random import Random

import pytest

import planlint
from planlint.budget.alarm import TimeSpent, alarm
from planlint.budget.allowance import Budget, within
from planlint.collection.collection_run import RunWay, inspect_found
from planlint.collection.discovery import Found, discover
from planlint.command import progress_shown
from planlint.reports.json_schema import ReportEntry
from tests import worker_kills
from tests.plans import SOUND, row_of_furniture
from tests.repositories import called

ROOT = Path(__file__).parent.parent
pytestmark = pytest.mark.usefixtures("own_surroundings")


# ---------------------------------------------------------------- workers


def test_same_report_from_any_number_of_workers(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert folder
    told = [called(capsys, "inspect", ".", "--no-cache", "--workers", number) for number in ("1", "2", "3")]
    assert told[0] == told[1] == told[2]
    status, out, err = told[0]
    assert (status, err) == (2, "")
    assert "NOT READ" in out
    assert out.count("STOP  lone-screw") == 10
    assert " ".join(out.splitlines()[-1].split()).startswith(
        "31 plans: 10 stop, 0 caution, 0 advice; 20 sound; 1 plan"
    )
    assert "stop  lone-screw  10  in 10 plans" in out


def test_same_reports_in_files(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told: dict[str, dict[str, str]] = {}
    for workers in ("1", "2"):
        writes = [
            f"--write={kind}={workers}.{kind}" for kind in ("text", "json", "sarif", "junit", "markdown")
        ]
        assert (
            called(capsys, "inspect", "frames", "tables", "--no-cache", "--workers", workers, *writes)[0] == 2
        )
        told[workers] = {
            path.suffix: path.read_text() for path in folder.iterdir() if path.name.startswith(f"{workers}.")
        }
    assert len(told["1"]) == 5
    assert told["1"] == told["2"]
    ReportEntry.model_validate_json(told["1"][".json"])
    assert not list(folder.glob(".*.*"))


def test_file_that_cannot_be_written_is_told_before_the_run(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = called(capsys, "inspect", ".", f"--write=json={folder}/none/report.json")
    assert (status, out) == (2, "")
    assert "cannot be written" in err


class Elsewhere(Executor):
    """An engine that hands its work on and loses some of it."""

    def __init__(self, lose: bool = False) -> None:
        self.inner = ThreadPoolExecutor(2)
        self.lose = lose

    def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]
        if self.lose:
            future: Future[object] = Future()
            future.set_exception(OSError("gone"))
            return future
        return self.inner.submit(fn, *args, **kwargs)


def test_any_executor(folder: Path) -> None:
    here = [(each.path, each.findings) for each in planlint.inspect_collection([folder])]
    there = [
        (each.path, each.findings) for each in planlint.inspect_collection([folder], executor=Elsewhere())
    ]
    assert len(here) == 31
    assert here == there


def test_one_folder_need_not_be_a_list(folder: Path) -> None:
    several = [each.path for each in planlint.inspect_collection([folder])]
    assert [each.path for each in planlint.inspect_collection(folder)] == several
    assert [each.path for each in planlint.inspect_collection(str(folder))] == several


def test_executor_that_fails_is_told(folder: Path) -> None:
    lost = list(planlint.inspect_collection([folder], executor=Elsewhere(lose=True)))
    assert len(lost) == 31
    assert all("OSError" in each.crashed[0].says for each in lost)


def test_on_a_cluster(folder: Path) -> None:
    distributed = pytest.importorskip("distributed")
    here = [(each.path, each.findings) for each in planlint.inspect_collection([folder])]
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        there = [
            (each.path, each.findings)
            for each in planlint.inspect_collection([folder], executor=client.get_executor())
        ]
    assert here == there


def test_plans_are_told_as_they_come(folder: Path) -> None:
    taken = []

    def endless() -> Iterator[Found]:
        while True:
            taken.append(1)
            yield Found(str(folder / "tables" / "plan00.plan"), "a.plan")

    told = inspect_found(endless(), RunWay())
    assert [next(told)[0] for _ in range(3)] == ["a.plan"] * 3
    assert len(taken) == 3
    told.close()


# ---------------------------------------------------------------- budgets

SLOW_CHECK = """
import sys, time
from planlint.checks import registry
def slow(piece, rule):
    if piece.plan.title == "Slow":
        {}
    yield from ()
registry.CHECKS["thin-stock"] = registry.CHECKS["thin-stock"]._replace(ask=slow)
"""


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="needs alarms")
def test_time_of_one_plan(folder: Path) -> None:
    (folder / "slow.plan").write_text(SOUND.replace("Frame", "Slow"))
    code = SLOW_CHECK.format("time.sleep(100)") + (
        "from planlint.command.main import main\n"
        "sys.exit(main(['inspect', 'frames/plan01.plan', 'slow.plan', '--most-seconds', '3', '--as', 'json']))\n"
    )
    start = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert time.monotonic() - start < 50
    assert done.returncode == 2, done.stderr
    told = json.loads(done.stdout)
    assert told["plans"][0]["unread"] == []
    says = told["plans"][1]["unread"][0]["says"]
    assert "the time for one plan (3 seconds) ran out before these rules were checked: thin-stock, " in says
    assert "--most-seconds" in says


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs to know its own memory")
def test_memory_of_one_plan(folder: Path) -> None:
    (folder / "slow.plan").write_text(SOUND.replace("Frame", "Slow"))
    code = SLOW_CHECK.format("bytearray(400_000_000)") + (
        "from planlint.command.main import main\n"
        "sys.exit(main(['inspect', 'slow.plan', 'frames/plan01.plan', '--most-memory', '200', '--as', 'json']))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 2, done.stderr
    told = json.loads(done.stdout)
    assert "memory for one plan ran out" in told["plans"][0]["unread"][0]["says"]
    assert told["plans"][1]["unread"] == []


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs to know its own memory")
@pytest.mark.parametrize(
    "failing",
    [
        "raise ImportError('x.so: failed to map segment from shared object')",
        "raise OSError(12, 'Cannot allocate memory')",
        "small_memory(); raise RuntimeError('a thread cannot be started')",
    ],
)
def test_lack_of_memory_in_any_guise_is_told_once_as_that(folder: Path, failing: str) -> None:
    """Whatever a lack of memory shows itself in is no fault of the program, and told in one place."""
    (folder / "slow.plan").write_text(SOUND.replace("Frame", "Slow"))
    code = SLOW_CHECK.format(failing) + (
        "registry.CHECKS['tip-through'] = registry.CHECKS['thin-stock']\n"
        "def small_memory():\n"
        "    import resource\n"
        "    from planlint.budget.alarm import address_space\n"
        "    hard = resource.getrlimit(resource.RLIMIT_AS)[1]\n"
        "    resource.setrlimit(resource.RLIMIT_AS, (address_space() + 2_000_000, hard))\n"
        "from planlint.command.main import main\n"
        "sys.exit(main(['inspect', 'slow.plan', '--as', 'json']))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 2, done.stderr
    [unread] = json.loads(done.stdout)["plans"][0]["unread"]
    assert unread["says"].startswith(
        "the memory for one plan ran out before these rules were checked: tip-through, thin-stock"
    )
    assert "--most-memory" in unread["says"]


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs to know its own memory")
def test_next_to_no_memory_is_told_as_that(folder: Path) -> None:
    """Then not even what the inspection runs on can be loaded."""
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "planlint",
            "inspect",
            "tables/plan00.plan",
            "--most-memory",
            "1",
            "--as",
            "json",
        ],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert folder
    assert done.returncode == 2, done.stderr
    [unread] = json.loads(done.stdout)["plans"][0]["unread"]
    assert "memory" in unread["says"]
    assert "--most-memory" in unread["says"]
    assert "fault of planlint" not in unread["says"]


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="needs alarms")
def test_alarm_inside_another() -> None:
    """The outer one holds as well, and rings at its own time where the inner one did not."""
    start = time.monotonic()
    with pytest.raises(TimeSpent), alarm(0.4):
        with alarm(30):
            pass
        with pytest.raises(TimeSpent), alarm(0.1):
            time.sleep(30)
        assert 0.1 <= time.monotonic() - start < 0.4
        time.sleep(30)
    assert 0.4 <= time.monotonic() - start < 10
    with pytest.raises(TimeSpent), alarm(0.1), alarm(30):
        time.sleep(30)
    assert signal.getitimer(signal.ITIMER_REAL) == (0, 0)


def test_limits_are_given_back() -> None:
    resource = pytest.importorskip("resource")
    before = resource.getrlimit(resource.RLIMIT_AS), signal.getsignal(signal.SIGALRM)
    with within(Budget(5, 500)):
        pass
    assert (resource.getrlimit(resource.RLIMIT_AS), signal.getsignal(signal.SIGALRM)) == before


def _wait_until_a_worker_starts(parent: int) -> None:
    """The library's helper is the first child; where nobody can look, for a second."""
    children = Path(f"/proc/{parent}/task/{parent}/children")
    for _ in range(3000):
        try:
            if len(children.read_text().split()) > 1:
                return
        except OSError:
            break
        time.sleep(0.01)
    time.sleep(1)


@pytest.mark.skipif(os.name == "nt", reason="needs signals")
@pytest.mark.parametrize(
    ("how", "status", "after"),
    [
        (signal.SIGINT, 130, 0),
        (signal.SIGINT, 130, 0.2),
        (signal.SIGTERM, 143, 0),
        (signal.SIGKILL, -signal.SIGKILL, 1.5),
    ],
)
def test_broken_off_run_leaves_no_process(
    folder: Path, how: signal.Signals, status: int, after: float
) -> None:
    """Nor does one tell anything, while it starts or later."""
    for number in range(40):
        (folder / f"long{number}.plan").write_text(row_of_furniture(1500))
    process = subprocess.Popen(
        [sys.executable, "-m", "planlint", "inspect", ".", "--workers", "2", "--no-cache"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        start_new_session=True,
    )
    _wait_until_a_worker_starts(process.pid)
    time.sleep(after)
    if how == signal.SIGINT:  # From the keyboard it comes to all of them.
        os.killpg(process.pid, how)
    else:
        process.send_signal(how)
    # The pipes close when the last process that has them ends.
    _, err = process.communicate(timeout=60)
    assert process.returncode == status
    if status > 0:
        assert err == b"planlint: stopped before the end\n"
    for _ in range(100):
        try:
            os.killpg(process.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.1)
    pytest.fail("a process is left")


# ---------------------------------------------------------------- how far a run is


def test_bar_on_a_terminal(folder: Path) -> None:
    pty = pytest.importorskip("pty")
    for number in range(30):
        (folder / f"long{number}.plan").write_text(row_of_furniture(60))
    main_end, end = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "planlint", "inspect", ".", "--no-cache", "--workers", "1", "--as", "json"],
        stdout=subprocess.PIPE,
        stderr=end,
        env={**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm"},
    )
    os.close(end)
    seen: list[bytes] = []

    def watch() -> None:
        with suppress(OSError):  # The other end is closed.
            while chunk := os.read(main_end, 65536):
                seen.append(chunk)

    watcher = threading.Thread(target=watch)
    watcher.start()
    out, _ = process.communicate(timeout=60)
    watcher.join()
    os.close(main_end)
    assert process.returncode == 2
    assert b"/61" in b"".join(seen)
    assert len(json.loads(out)["plans"]) == 61


def test_line_in_a_log(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(progress_shown, "_LINE_EVERY", 0.0)
    shown = progress_shown.Progress(30)
    shown.advance()
    shown.advance()
    assert capsys.readouterr().err == "".join(f"planlint: {n} of 30 plans inspected\n" for n in (1, 2))
    progress_shown.Progress(0).advance()
    assert capsys.readouterr().err == ""


# ---------------------------------------------------------------- workers that end


def test_worker_that_ends_takes_one_plan_with_it(folder: Path) -> None:
    (folder / "slow.plan").write_text(SOUND.replace("Frame", "Slow"))
    script = folder / "run.py"
    script.write_text(
        SLOW_CHECK.format("import os; os._exit(3)")
        + "from planlint.command.main import main\n"
        + "if __name__ == '__main__':\n"
        + "    sys.exit(main(['inspect', '.', '--workers', '2', '--no-cache', '--as', 'json']))\n"
    )
    done = subprocess.run(
        [sys.executable, str(script)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 2, done.stderr
    plans = json.loads(done.stdout)["plans"]
    assert len(plans) == 32
    told = {plan["path"]: plan["unread"][0]["says"] for plan in plans if plan["unread"]}
    assert set(told) == {"slow.plan", "frames/unread.plan"}
    assert "ended the process that did it" in told["slow.plan"]
    assert sum(len(plan["findings"]) for plan in plans) == 10


def test_a_kill_at_any_moment_hangs_nothing() -> None:
    told = worker_kills.rounds(4, Random(3), plans=25)
    assert told.kills == 4


def test_where_no_worker_can_start_that_is_told_and_the_run_goes_on(folder: Path) -> None:
    found = list(discover(["."], folder))
    said: list[str] = []
    way = RunWay(workers=2, tell=said.append)
    usual = multiprocessing.spawn.get_executable()
    multiprocessing.set_executable(shutil.which("false") or "")
    try:
        inspections = [inspection for _, inspection in inspect_found(found, way)]
    finally:
        multiprocessing.set_executable(usual)
    here = [inspection for _, inspection in inspect_found(found, RunWay(workers=1))]
    assert [(each.path, each.told) for each in inspections] == [(each.path, each.told) for each in here]
    assert all(each.whole or each.unread for each in inspections)
    assert said == [
        "no process could be started to share the work (it ended while it started, with status 1): "
        "the plans are inspected one after the other"
    ]


def test_settings_of_the_collection(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "planlint.toml").write_text('exclude = ["tables"]\n[rules.lone-screw]\ngrade = "advice"\n')
    _, out, _ = called(capsys, "inspect", ".", "--as", "json")
    told = json.loads(out)
    assert {plan["path"].split("/")[0] for plan in told["plans"]} == {"frames"}
    assert told["summary"]["advice"] == 5
    (folder / "planlint.toml").write_text("nonsense = 3\n")
    status, out, err = called(capsys, "inspect", ".")
    assert (status, out) == (2, "")
    assert "planlint.toml, line 1" in err


def test_hook_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    yaml = pytest.importorskip("yaml")
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    entry, *words = hook["entry"].split()
    assert entry == "planlint"
    (folder / "planlint.toml").write_text('exclude = ["tables"]')
    status, out, _ = called(capsys, *words, "tables/plan00.plan", "frames/plan01.plan")
    assert (status, "frames/plan01.plan" in out, "tables/plan00.plan" in out) == (0, True, False)
    status, out, err = called(capsys, *words, "tables/plan00.plan")
    assert (status, err) == (0, "")
    assert re.search(hook["files"], "frames/a.plan")
    assert not re.search(hook["files"], "a.plan.txt")
