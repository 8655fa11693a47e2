"""Only some plans of a collection: those of one shard, those that changed since a revision."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

import planlint
from planlint.collection.sharding import NotJoined, Shard, join
from tests.plans import FAULTY, SOUND
from tests.repositories import called, git, run_git

pytestmark = pytest.mark.usefixtures("own_surroundings")


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


FORMS = ("text", "json", "sarif", "junit", "markdown", "lines", "quality")


@git
def test_shards_with_a_ledger_tell_in_every_form_what_one_run_tells(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run_git(folder, "init", "-q")
    (folder / "planlint.toml").write_text('owner = "the shop"\n[folders.frames]\nowner = "the framers"\n')
    (folder / "tables" / "gone.plan").write_text(FAULTY)
    called(capsys, "ledger", "record", "tables")
    (folder / "tables" / "gone.plan").unlink()
    (folder / "tables" / "plan00.plan").write_text(SOUND)  # Two entries that match nothing.
    accepted = FAULTY + 'accept lone-screw on rail.left because "a gift | of mine"\n'
    (folder / "frames" / "plan03.plan").write_text(accepted)
    run_git(folder, "add", ".")
    run_git(folder, "commit", "-qm", "one")
    words = ("inspect", ".", "--ledger", "planlint.ledger")
    whole = [called(capsys, *words, "--as", form) for form in FORMS]
    assert json.loads(whole[1][1])["summary"]["unmatched"] == 2
    for number in range(1, 4):
        out = called(capsys, *words, "--as", "json", "--shard", f"{number}/3")[1]
        (folder / f"{number}.json").write_text(out)
    files = [f"{number}.json" for number in range(1, 4)]
    for form, told_by_one in zip(FORMS, whole, strict=True):
        assert called(capsys, "join", *files, "--as", form) == told_by_one, form
    called(capsys, "join", *files, "--write", "junit=a.xml", "--write", "text=a.txt")
    assert ((folder / "a.xml").read_text(), (folder / "a.txt").read_text()) == (whole[3][1], whole[0][1])

    run = json.loads(whole[1][1])["run"]
    assert run["version"] == planlint.__version__
    assert run["revision"] == run_git(folder, "rev-parse", "HEAD")
    for what, says in (("version", "versions"), ("settings", "settings"), ("ledger", "ledgers")):
        told = json.loads((folder / "2.json").read_text())
        told["run"][what] = "another"
        (folder / "other.json").write_text(json.dumps(told))
        status, _, err = called(capsys, "join", "1.json", "other.json", "3.json")
        assert status == 2
        assert f"unlike {says}: " in err


@pytest.mark.parametrize("words", ["0/3", "4/3", "a/b", "1", "-1/2", ""])
def test_no_such_shard(words: str) -> None:
    with pytest.raises(ValueError, match="no part of a whole"):
        Shard.read(words)


def test_reports_with_one_plan_in_common_are_not_joined() -> None:
    report = {"plans": [{"path": "a.plan"}], "run": {"version": "1"}, "unmatched": [], "touched": []}
    with pytest.raises(NotJoined, match="in two"):
        join([report, report])


def test_join_refuses_what_is_no_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.json").write_text('{"plans": 3}')
    status, _, err = called(capsys, "join", str(tmp_path / "a.json"))
    assert status == 2
    assert "no JSON report" in err


def _cut(report: bytes) -> bytes:
    return report[:400]


def _latin(report: bytes) -> bytes:
    return report.replace(b"Frame", b"Gro\xdfe")


def _older(report: bytes) -> bytes:
    return report.replace(b'"version": "', b'"version": "0.0.').replace(b'"unchecked"', b'"unsure"')


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (_cut, "column"),
        (_latin, "this file is not UTF-8: byte"),
        (_older, "it was written by planlint 0.0."),
    ],
)
def test_a_damaged_report_is_told_by_its_place(
    capsys: pytest.CaptureFixture[str], spoil: Callable[[bytes], bytes], says: str
) -> None:
    report = called(capsys, "inspect", "frames/plan01.plan", "--as", "json")[1].encode()
    Path("part.json").write_bytes(spoil(report))
    assert Path("part.json").read_bytes() != report
    status, out, err = called(capsys, "join", "part.json")
    assert (status, out) == (2, "")
    assert says in err


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
    assert touched("HEAD") == ["new.plan", "frames/plan01.plan"]
    (folder / "frames" / "plan03.plan").write_text('use "../lets.plan"\n' + SOUND)
    run_git(folder, "add", ".")
    run_git(folder, "commit", "-q", "-m", "two")
    assert touched("HEAD") == []
    (folder / "lets.plan").write_text("let a = 3\n")
    assert touched("HEAD") == ["lets.plan", "frames/plan03.plan"]
    (folder / "tables" / "planlint.toml").write_text("")
    assert len(touched("HEAD")) == 17
    # Work that began before others went on is compared with where it began.
    run_git(folder, "checkout", "-q", "-b", "side", "HEAD~1")
    assert "frames/plan01.plan" not in touched("HEAD")


def _since(capsys: pytest.CaptureFixture[str], revision: str, *paths: str) -> tuple[list[str], str]:
    """The plans of a run, and what it tells beside them."""
    words = ("inspect", *(paths or (".",)), "--as", "json", "--changed-since", revision)
    _, out, err = called(capsys, *words)
    return [plan["path"] for plan in json.loads(out)["plans"]], err


@git
def test_changes_in_a_repository_inside_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each is asked in its own git; a submodule is compared with what the outer repository recorded."""
    for where in ("lib", "outer", "outer/own"):
        (tmp_path / where).mkdir()
        for name in ("a.plan", "b.plan"):
            (tmp_path / where / name).write_text(SOUND)
        run_git(tmp_path / where, "init", "-q")
    for where in ("lib", "outer/own"):
        run_git(tmp_path / where, "add", ".")
        run_git(tmp_path / where, "commit", "-q", "-m", "one")
    outer = tmp_path / "outer"
    (outer / ".gitignore").write_text("/own\n/new\n")
    allowed = ("-c", "protocol.file.allow=always", "submodule", "--quiet", "add")
    run_git(outer, *allowed, str(tmp_path / "lib"), "our lib")
    run_git(outer, "add", ".")
    run_git(outer, "commit", "-q", "-m", "one")
    monkeypatch.chdir(outer)
    # A hook of the outer repository says which that is.
    monkeypatch.setenv("GIT_DIR", str(outer / ".git"))
    assert _since(capsys, "trunk") == ([], "")
    (outer / "own" / "a.plan").write_text(FAULTY)
    (outer / "our lib" / "b.plan").write_text(FAULTY)
    (outer / "a.plan").write_text('use "our lib/b.plan"\n' + SOUND)
    inside = ["a.plan", "our lib/b.plan", "own/a.plan"]
    assert _since(capsys, "trunk") == (inside, "")
    # Committed there, and the commit recorded here: it still differs from what the outer branch has.
    monkeypatch.delenv("GIT_DIR")
    run_git(outer / "our lib", "commit", "-q", "-a", "-m", "two")
    run_git(outer, "checkout", "-q", "-b", "side")
    run_git(outer, "commit", "-q", "-a", "-m", "two")
    assert _since(capsys, "trunk") == (inside, "")
    assert _since(capsys, "side") == (["own/a.plan", "own/b.plan"], _since(capsys, "side")[1])
    assert "the repository own: this repository has no such revision" in _since(capsys, "side")[1]
    assert "All its plans are inspected" in _since(capsys, "side")[1]
    # One that has no commit yet.
    shutil.copytree(tmp_path / "lib", outer / "new", ignore=shutil.ignore_patterns(".git"))
    run_git(outer / "new", "init", "-q")
    told, err = _since(capsys, "trunk")
    assert told == ["a.plan", "new/a.plan", "new/b.plan", *inside[1:]]
    assert "the repository new: this repository has no such revision" in err
    # One that only looks like a repository.
    (outer / "fake" / ".git").mkdir(parents=True)
    (outer / "fake" / "a.plan").write_text(SOUND)
    told, err = _since(capsys, "trunk")
    assert "fake/a.plan" in told
    assert "the repository fake: " in err
    # Side by side, without one around them; and a plan that lies in none.
    monkeypatch.chdir(tmp_path)
    (tmp_path / "loose.plan").write_text(SOUND)
    told, err = _since(capsys, "trunk", "lib", "outer/own", "loose.plan")
    assert told == ["outer/own/a.plan", "loose.plan"]
    assert "some plans lie in no git repository: all of these are inspected" in err


@git
def test_settings_that_are_a_link_touch_the_plans_they_hold_for(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "shop").mkdir()
    (folder / "shop" / "common.toml").write_text("")
    (folder / "planlint.toml").symlink_to("shop/common.toml")
    run_git(folder, "init", "-q")
    run_git(folder, "add", ".")
    run_git(folder, "commit", "-q", "-m", "one")
    assert _since(capsys, "HEAD") == ([], "")
    (folder / "shop" / "common.toml").write_text('[rules]\nlone-screw = "off"\n')
    assert len(_since(capsys, "HEAD")[0]) == 31


@git
@pytest.mark.parametrize("revision", ["nowhere", "--output=/tmp/x", " "])
def test_revision_that_is_not_there(folder: Path, capsys: pytest.CaptureFixture[str], revision: str) -> None:
    run_git(folder, "init", "-q")
    status, out, err = called(capsys, "inspect", ".", f"--changed-since={revision}")
    assert (status, out) == (2, "")
    assert "--changed-since" in err
    assert "this repository has no such revision" in err
    assert not Path("/tmp/x").exists()


@git
def test_history_that_is_cut_off(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Build servers fetch the newest commit only."""
    run_git(folder, "init", "-q")
    run_git(folder, "add", ".")
    run_git(folder, "commit", "-q", "-m", "one")
    run_git(folder, "checkout", "-q", "--orphan", "elsewhere")
    run_git(folder, "commit", "-q", "-m", "another beginning")
    status, out, err = called(capsys, "inspect", ".", "--changed-since=trunk")
    assert (status, out) == (2, "")
    assert "no commit in common" in err
    assert "fetch more of them" in err


def test_changed_since_without_git(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / ".git").mkdir()
    monkeypatch.setenv("PATH", str(folder))
    status, out, err = called(capsys, "inspect", ".", "--changed-since", "HEAD")
    assert (status, out) == (2, "")
    assert err == "planlint: --changed-since HEAD: git, which knows it, is not installed here\n"


def test_changed_since_without_a_repository(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = called(capsys, "inspect", str(folder), "--changed-since", "HEAD")
    assert status == 2
    assert "no git repository" in err


@pytest.mark.usefixtures("folder")
def test_shards_of_unlike_choices_make_no_whole(capsys: pytest.CaptureFixture[str]) -> None:
    """One of all plans and one of a folder: what lies between them was inspected by neither."""
    for number, what in ((1, "."), (2, "frames")):
        _, out, _ = called(capsys, "inspect", what, "--shard", f"{number}/2", "--as", "json")
        Path(f"{number}.json").write_text(out, encoding="utf-8")
    status, _, err = called(capsys, "join", "1.json", "2.json")
    assert status == 2
    assert "unlike plans" in err


def test_a_plan_edited_between_shards_makes_no_whole(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = folder / "frames" / "plan00.plan"
    for number, end in ((1, "\r\n"), (2, "\n"), (3, "# Edited.\n")):
        plan.write_bytes(
            SOUND.encode().replace(b"\n", b"\r\n") if number == 1 else f"{SOUND}{end[1:]}".encode()
        )
        _, out, _ = called(capsys, "inspect", "frames", "--shard", f"{min(number, 2)}/2", "--as", "json")
        Path(f"{number}.json").write_text(out, encoding="utf-8")
    assert called(capsys, "join", "1.json", "2.json")[0] == 2  # One cannot be read.
    assert "unlike plans" not in called(capsys, "join", "1.json", "2.json")[2]
    assert "unlike plans" in called(capsys, "join", "1.json", "3.json")[2]
