"""A file is replaced whole or not at all, and all else about it is kept."""

from __future__ import annotations

import os
import resource
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from planlint.text import atomic_replace
from planlint.text.atomic_replace import NotReplaced, replace_file, whole_file

OLD, NEW = b"old " * 50_000, b"new " * 60_000


def names(folder: Path) -> list[str]:
    return [file.name for file in folder.iterdir()]


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    file = tmp_path / "shelf.plan"
    file.write_bytes(OLD)
    return file


def test_contents_and_nothing_else(plan: Path) -> None:
    plan.chmod(0o640)
    replace_file(str(plan), OLD, NEW)
    assert plan.read_bytes() == NEW
    assert stat.S_IMODE(plan.stat().st_mode) == 0o640
    assert names(plan.parent) == [plan.name]


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may give a file away")
def test_owner_is_kept(plan: Path) -> None:
    os.chown(plan, 12345, 23456)
    replace_file(str(plan), OLD, NEW)
    assert (plan.stat().st_uid, plan.stat().st_gid) == (12345, 23456)


def test_attributes_are_kept(plan: Path) -> None:
    try:
        os.setxattr(plan, "user.bench", b"left")
    except OSError:
        pytest.skip("this file system keeps no attributes")
    replace_file(str(plan), OLD, NEW)
    assert os.getxattr(plan, "user.bench") == b"left"


def test_changed_since_it_was_read(plan: Path) -> None:
    plan.write_bytes(OLD + b"more")
    with pytest.raises(NotReplaced, match="changed since"):
        replace_file(str(plan), OLD, NEW)
    assert plan.read_bytes() == OLD + b"more"
    assert names(plan.parent) == [plan.name]


def test_changed_while_it_is_written(plan: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another program writes the file between our reading it and our putting the new one there."""
    write = atomic_replace._write

    def slow(handle: int, data: bytes) -> None:
        write(handle, data)
        plan.write_bytes(b"theirs")

    monkeypatch.setattr(atomic_replace, "_write", slow)
    with pytest.raises(NotReplaced, match="changed since"):
        replace_file(str(plan), OLD, NEW)
    assert plan.read_bytes() == b"theirs"
    assert names(plan.parent) == [plan.name]


def test_gone_since_it_was_read(tmp_path: Path) -> None:
    with pytest.raises(NotReplaced, match="cannot be written"):
        replace_file(str(tmp_path / "gone.plan"), OLD, NEW)


# ---------------------------------------------------------------- links


def test_link_inside_the_folder_stays_a_link(plan: Path) -> None:
    link = plan.with_name("link.plan")
    link.symlink_to(plan.name)
    replace_file(str(link), OLD, NEW, str(plan.parent))
    assert link.is_symlink()
    assert plan.read_bytes() == NEW


@pytest.mark.parametrize("within", [True, False])
def test_link_outside_the_folder_is_refused(plan: Path, within: bool) -> None:
    folder = plan.parent / "named"
    folder.mkdir()
    link = folder / "link.plan"
    link.symlink_to(plan)
    with pytest.raises(NotReplaced, match="outside the folder named"):
        replace_file(str(link), OLD, NEW, str(folder) if within else None)
    assert plan.read_bytes() == OLD


def test_linked_folder_outside_is_refused(plan: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    named = tmp_path_factory.mktemp("named")
    (named / "sub").symlink_to(plan.parent)
    with pytest.raises(NotReplaced, match="outside the folder named"):
        replace_file(str(named / "sub" / plan.name), OLD, NEW, str(named))
    assert plan.read_bytes() == OLD


def test_second_name_is_refused(plan: Path) -> None:
    plan.with_name("other.plan").hardlink_to(plan)
    with pytest.raises(NotReplaced, match="2 names"):
        replace_file(str(plan), OLD, NEW)
    assert plan.read_bytes() == OLD


def test_only_plain_files(tmp_path: Path) -> None:
    with pytest.raises(NotReplaced):
        replace_file(str(tmp_path), OLD, NEW)
    pipe = tmp_path / "pipe.plan"
    os.mkfifo(pipe)
    with pytest.raises(NotReplaced, match="plain file"):
        replace_file(str(pipe), OLD, NEW)


# ---------------------------------------------------------------- no room


def test_disk_full_leaves_the_old_file(plan: Path) -> None:
    """No file may grow past a limit: as when the disk is full, half of the new contents cannot be written."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, hard))
    try:
        with pytest.raises(NotReplaced, match="cannot be written"):
            replace_file(str(plan), OLD, NEW)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, handler)
    assert plan.read_bytes() == OLD
    assert names(plan.parent) == [plan.name]


def test_folder_that_takes_no_file(plan: Path) -> None:
    if os.geteuid() == 0:
        pytest.skip("root may write anywhere")
    plan.parent.chmod(0o500)
    try:
        with pytest.raises(NotReplaced, match="cannot be written"):
            replace_file(str(plan), OLD, NEW)
    finally:
        plan.parent.chmod(0o700)
    assert plan.read_bytes() == OLD


# ---------------------------------------------------------------- killed

WORKER = """
import sys
from planlint.text.atomic_replace import replace_file
path, old, new = sys.argv[1], b"old " * 50_000, b"new " * 60_000
print("ready", flush=True)
while True:
    replace_file(path, old, new)
    replace_file(path, new, old)
"""
KILLS = 60


def _whole(plan: Path) -> bool:
    return plan.read_bytes() in {OLD, NEW}


def _stop_in_the_middle(plan: Path, how: signal.Signals, wait: float) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", WORKER, str(plan)], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as worker:
        assert worker.stdout is not None
        worker.stdout.readline()
        time.sleep(wait)
        worker.send_signal(how)
        worker.wait(timeout=60)


def test_killed_at_any_moment(plan: Path) -> None:
    """Killed outright, five times at each of twelve moments: the old file or the new one, whole; nothing gathers."""
    for number in range(KILLS):
        if plan.read_bytes() == NEW:
            plan.write_bytes(OLD)
        _stop_in_the_middle(plan, signal.SIGKILL, 0.0007 * (number % 12))
        assert _whole(plan)
        assert len(names(plan.parent)) <= 2
    plan.write_bytes(OLD)
    replace_file(str(plan), OLD, NEW)
    assert names(plan.parent) == [plan.name]


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_stopped_at_any_moment(plan: Path, how: signal.Signals) -> None:
    """A signal that can wait does: nothing is left beside the file."""
    for number in range(KILLS // 3):
        if plan.read_bytes() == NEW:
            plan.write_bytes(OLD)
        _stop_in_the_middle(plan, how, 0.0007 * (number % 12))
        assert _whole(plan)
        assert names(plan.parent) == [plan.name]


# ---------------------------------------------------------------- reports and ledgers


@pytest.fixture(name="report")
def report_file(tmp_path: Path) -> Path:
    file = tmp_path / "report.md"
    file.write_text("old")
    return file


def test_a_report_takes_its_place_when_it_is_whole(report: Path) -> None:
    report.chmod(0o640)
    with whole_file(str(report)) as new:
        new.write("n\u00e9w \udcff\n")
        new.flush()
        assert report.read_text() == "old"
    assert report.read_bytes() == b"n\xc3\xa9w \\udcff\n"
    assert stat.S_IMODE(report.stat().st_mode) == 0o640
    assert names(report.parent) == [report.name]


def test_a_report_broken_off_leaves_what_was_there(report: Path) -> None:
    with pytest.raises(KeyboardInterrupt), whole_file(str(report)) as new:
        new.write("half")
        raise KeyboardInterrupt
    assert report.read_text() == "old"
    assert names(report.parent) == [report.name]


def test_what_a_killed_run_left_beside_a_report_is_swept_up(report: Path) -> None:
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    report.with_name(f".{report.name}.{ended.pid}.new").write_text("half")
    with whole_file(str(report)) as new:
        new.write("new")
    assert names(report.parent) == [report.name]


@pytest.mark.parametrize("there", [True, False])
def test_a_link_to_a_report_stays_a_link(report: Path, there: bool) -> None:
    link = report.with_name("link.md")
    link.symlink_to(report.name)
    if not there:
        report.unlink()
    with whole_file(str(link)) as new:
        new.write("new")
    assert link.is_symlink()
    assert report.read_text() == "new"


def test_a_report_into_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        with whole_file(str(pipe)) as new:
            new.write("new")
        assert os.read(reader, 10) == b"new"
    finally:
        os.close(reader)
    assert stat.S_ISFIFO(pipe.stat().st_mode)


@pytest.mark.parametrize(
    ("where", "says"),
    [("", "is a folder"), ("gone/", "is a folder"), ("gone/report.md", "there is no folder")],
)
def test_no_place_for_a_report(tmp_path: Path, where: str, says: str) -> None:
    with pytest.raises(NotReplaced, match=says), whole_file(f"{tmp_path}/{where}"):
        pass
    assert not names(tmp_path)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anything")
def test_a_report_that_may_not_be_written(report: Path) -> None:
    report.chmod(0o400)
    with pytest.raises(NotReplaced, match="permission denied"), whole_file(str(report)):
        pass
    assert report.read_text() == "old"
