"""A collection: which plans are found, the same report from any number of workers, and budgets that hold."""

from __future__ import annotations

import json
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

import pytest

import planlint
from planlint.collection.budget import Budget, within
from planlint.collection.discovery import Found, discover
from planlint.collection.root import find_root, told_from
from planlint.collection.run import Way, inspect_found
from planlint.collection.shard import NotJoined, Shard, join
from planlint.command import main, progress
from planlint.inspection.collect import Refused
from planlint.reports.schema import Report
from tests.plans import FAULTY, SOUND, row_of_furniture

ROOT = Path(__file__).parent.parent
UNREAD = SOUND.replace("rail of board", "rail of bord")
git = pytest.mark.skipif(not shutil.which("git"), reason="needs git")


@pytest.fixture(autouse=True)
def own_surroundings(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
    for name in ("COLUMNS", "FORCE_COLOR", "GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE"):
        monkeypatch.delenv(name, raising=False)


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


def called(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main.main(list(words))
    told = capsys.readouterr()
    return status, told.out, told.err


def run_git(folder: Path, *words: str) -> str:
    who = [
        "-c",
        "user.name=A Builder",
        "-c",
        "user.email=builder@example.com",
        "-c",
        "init.defaultBranch=trunk",
    ]
    done = subprocess.run(["git", *who, *words], cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout.strip()


def names(found: list[Found | Refused]) -> list[str]:
    return [each.name if isinstance(each, Found) else f"{each.path}: {each.says}" for each in found]


# ---------------------------------------------------------------- discovery


def test_names_are_told_from_the_root(folder: Path) -> None:
    found = list(discover(["frames"], folder))
    assert names(found)[:2] == ["frames/plan01.plan", "frames/plan03.plan"]
    assert names(list(discover(["."], folder)))[-1] == "tables/plan28.plan"
    assert names(list(discover([str(folder / "tables")], folder)))[0] == "tables/plan00.plan"


def test_left_out_names(folder: Path) -> None:
    found = list(discover(["."], folder, lambda path: path.startswith("./tables/")))
    assert {name.split("/")[0] for name in names(found)} == {"frames"}


@git
def test_git_ignored_plans_are_left_out(folder: Path) -> None:
    run_git(folder, "init", "-q")
    (folder / ".gitignore").write_text("tables/\nplan0*.plan\n!plan05.plan\n")
    (folder / "frames" / ":odd name\n.plan").write_text(SOUND)
    found = names(list(discover(["."], folder)))
    assert "frames/plan05.plan" in found
    assert "frames/:odd name\n.plan" in found
    assert "frames/plan01.plan" not in found
    assert not any(name.startswith("tables/") for name in found)
    # Named itself, a plan is inspected.
    assert names(list(discover(["tables/plan00.plan"], folder))) == ["tables/plan00.plan"]
    told = names(list(discover(["tables"], folder)))
    assert len(told) == 1
    assert "neither git nor the settings leave out" in told[0]


@git
def test_repository_inside_a_repository(folder: Path) -> None:
    run_git(folder, "init", "-q")
    run_git(folder / "tables", "init", "-q")
    (folder / "tables" / ".gitignore").write_text("plan00.plan\n")
    (folder / ".gitignore").write_text("plan02.plan\n")
    found = names(list(discover(["."], folder)))
    assert "tables/plan00.plan" not in found
    assert "tables/plan02.plan" in found


@git
def test_broken_repository_leaves_nothing_out(folder: Path) -> None:
    (folder / ".git").mkdir()
    assert len(list(discover(["."], folder))) == 31


def test_links_are_followed_inside_the_root_only(
    folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    (outside / "secret.plan").write_text("not yours")
    (folder / "frames" / "out.plan").symlink_to(outside / "secret.plan")
    (folder / "frames" / "away").symlink_to(outside)
    (folder / "again").symlink_to(folder / "frames")
    (folder / "tables" / "same.plan").symlink_to(folder / "frames" / "plan01.plan")
    found = list(discover(["."], folder))
    paths = [each for each in found if isinstance(each, Found)]
    assert len(paths) == 31
    refusals = [each for each in found if isinstance(each, Refused)]
    assert len(refusals) == 1
    assert "leads out of the collection" in refusals[0].says


def test_root(folder: Path) -> None:
    assert find_root(["frames", "tables"]) == folder.resolve()
    (folder / "frames" / "planlint.toml").write_text("")
    assert find_root(["frames"]) == folder.resolve() / "frames"
    (folder / ".git").mkdir()
    assert find_root(["frames"]) == folder.resolve()
    assert told_from(folder, "frames/a.plan") == "frames/a.plan"
    assert told_from(folder, str(folder / "frames" / ".." / "a.plan")) == "a.plan"


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
    Report.model_validate_json(told["1"][".json"])
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

    told = inspect_found(endless(), Way())
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
registry.CHECKS["thin-stock"] = slow
"""


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="needs alarms")
def test_time_of_one_plan(folder: Path) -> None:
    (folder / "slow.plan").write_text(SOUND.replace("Frame", "Slow"))
    code = SLOW_CHECK.format("time.sleep(100)") + (
        "from planlint.command.main import main\n"
        "sys.exit(main(['inspect', 'frames/plan01.plan', 'slow.plan', '--most-seconds', '1', '--as', 'json']))\n"
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
    assert "the time that one plan may take (1 seconds) ran out" in told["plans"][1]["unread"][0]["says"]


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


def test_limits_are_given_back() -> None:
    resource = pytest.importorskip("resource")
    before = resource.getrlimit(resource.RLIMIT_AS), signal.getsignal(signal.SIGALRM)
    with within(Budget(5, 500)):
        pass
    assert (resource.getrlimit(resource.RLIMIT_AS), signal.getsignal(signal.SIGALRM)) == before


@pytest.mark.skipif(os.name == "nt", reason="needs signals")
@pytest.mark.parametrize(("how", "status"), [(signal.SIGINT, 130), (signal.SIGKILL, -signal.SIGKILL)])
def test_broken_off_run_leaves_no_process(folder: Path, how: signal.Signals, status: int) -> None:
    for number in range(40):
        (folder / f"long{number}.plan").write_text(row_of_furniture(1500))
    process = subprocess.Popen(
        [sys.executable, "-m", "planlint", "inspect", ".", "--workers", "2", "--no-cache"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        start_new_session=True,
    )
    time.sleep(2)
    process.send_signal(how)
    process.communicate(timeout=60)  # The pipes close when the last process that has them ends.
    assert process.returncode == status
    for _ in range(100):
        try:
            os.killpg(process.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.1)
    pytest.fail("a process is left")


# ---------------------------------------------------------------- parts of a collection


def test_shards_join_to_the_whole(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole = json.loads(called(capsys, "inspect", ".", "--as", "json")[1])
    files = []
    for number in (3, 1, 2):
        _, out, _ = called(capsys, "inspect", ".", "--as", "json", "--shard", f"{number}/3")
        file = folder / f"{number}.json"
        file.write_text(out)
        files.append(str(file))
    status, out, _ = called(capsys, "join", *files)
    assert status == 2
    assert json.loads(out) == whole
    status, _, err = called(capsys, "join", *files[:2])
    assert status == 2
    assert "missing: 2" in err
    status, _, err = called(capsys, "join", *files, files[0])
    assert status == 2
    assert "twice" in err


@pytest.mark.parametrize("words", ["0/3", "4/3", "a/b", "1", "-1/2", ""])
def test_no_such_shard(words: str) -> None:
    with pytest.raises(ValueError, match="no part of a whole"):
        Shard.read(words)


def test_reports_with_one_plan_in_common_are_not_joined() -> None:
    report = {"plans": [{"path": "a.plan"}], "summary": {"stop": 0}}
    with pytest.raises(NotJoined, match="in two"):
        join([report, report])


def test_join_refuses_what_is_no_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.json").write_text('{"plans": 3}')
    status, _, err = called(capsys, "join", str(tmp_path / "a.json"))
    assert status == 2
    assert "no JSON report" in err


@git
def test_changed_since(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run_git(folder, "init", "-q")
    run_git(folder, "add", ".")
    run_git(folder, "commit", "-q", "-m", "one")

    def touched(*words: str) -> list[str]:
        out = called(capsys, "inspect", ".", "--as", "json", "--changed-since", *words)[1]
        return [plan["path"] for plan in json.loads(out)["plans"]]

    assert touched("HEAD") == []
    (folder / "frames" / "plan01.plan").write_text(FAULTY)
    (folder / "new.plan").write_text(SOUND)
    assert touched("HEAD") == ["./new.plan", "./frames/plan01.plan"]
    (folder / "frames" / "plan03.plan").write_text('use "../lets.plan"\n' + SOUND)
    run_git(folder, "add", ".")
    run_git(folder, "commit", "-q", "-m", "two")
    assert touched("HEAD") == []
    (folder / "lets.plan").write_text("let a = 3\n")
    assert touched("HEAD") == ["./lets.plan", "./frames/plan03.plan"]
    (folder / "tables" / "planlint.toml").write_text("")
    assert len(touched("HEAD")) == 17
    # Work that began before others went on is compared with where it began.
    run_git(folder, "checkout", "-q", "-b", "side", "HEAD~1")
    assert "./frames/plan01.plan" not in touched("HEAD")


@git
@pytest.mark.parametrize("revision", ["nowhere", "--output=/tmp/x", ""])
def test_revision_that_is_not_there(folder: Path, capsys: pytest.CaptureFixture[str], revision: str) -> None:
    run_git(folder, "init", "-q")
    status, out, err = called(capsys, "inspect", ".", f"--changed-since={revision}")
    assert (status, out) == (2, "")
    assert "--changed-since" in err
    assert not Path("/tmp/x").exists()


def test_changed_since_without_a_repository(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = called(capsys, "inspect", str(folder), "--changed-since", "HEAD")
    assert status == 2
    assert "no git repository" in err


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
    monkeypatch.setattr(progress, "_LINE_EVERY", 0.0)
    shown = progress.Progress(30)
    shown.advance()
    shown.advance()
    assert capsys.readouterr().err == "".join(f"planlint: {n} of 30 plans inspected\n" for n in (1, 2))
    progress.Progress(0).advance()
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
    assert set(told) == {"./slow.plan", "./frames/unread.plan"}
    assert "ended the process that did it" in told["./slow.plan"]
    assert sum(len(plan["findings"]) for plan in plans) == 10


def test_settings_of_the_collection(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "planlint.toml").write_text('exclude = ["tables"]\n[rules.lone-screw]\ngrade = "advice"\n')
    _, out, _ = called(capsys, "inspect", ".", "--as", "json")
    told = json.loads(out)
    assert {plan["path"].split("/")[1] for plan in told["plans"]} == {"frames"}
    assert told["summary"]["advice"] == 5
    (folder / "planlint.toml").write_text("nonsense = 3\n")
    status, out, err = called(capsys, "inspect", ".")
    assert (status, out) == (2, "")
    assert "planlint.toml, line 1" in err


def test_hook_file() -> None:
    yaml = pytest.importorskip("yaml")
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert hook["entry"] == "planlint inspect"
    assert re.search(hook["files"], "frames/a.plan")
    assert not re.search(hook["files"], "a.plan.txt")
