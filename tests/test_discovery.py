"""Which files of a collection are plans to inspect, and what they are called."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.collection.collection_root import find_root, told_from
from planlint.collection.discovery import Found, discover
from planlint.inspection.plan_files import Refused
from tests.plans import FAULTY, SOUND
from tests.repositories import called, git, names, run_git

pytestmark = pytest.mark.usefixtures("own_surroundings")


def test_names_are_told_from_the_root(folder: Path) -> None:
    found = list(discover(["frames"], folder))
    assert names(found)[:2] == ["frames/plan01.plan", "frames/plan03.plan"]
    assert names(list(discover(["."], folder)))[-1] == "tables/plan28.plan"
    assert names(list(discover([str(folder / "tables")], folder)))[0] == "tables/plan00.plan"


def test_folder_gives_its_plans_in_order(tmp_path: Path) -> None:
    plans = tmp_path / "plans"
    for name in ("b.plan", "a.plan", "sub/c.plan", ".hidden/d.plan", ".e.plan", "notes.txt"):
        (plans / name).parent.mkdir(parents=True, exist_ok=True)
        (plans / name).write_text("")
    found = list(discover([str(plans)], tmp_path))
    assert found == [Found(str(plans / name), f"plans/{name}") for name in ("a.plan", "b.plan", "sub/c.plan")]


def test_file_is_taken_once_and_whatever_its_ending(tmp_path: Path) -> None:
    plan, plans = tmp_path / "bench.txt", tmp_path / "plans"
    plan.write_text("")
    plans.mkdir()
    (plans / "same.plan").symlink_to(plan)
    (plans / "other.plan").write_text("")
    found = discover([str(plan), str(plan), str(plans)], tmp_path)
    assert names(list(found)) == ["bench.txt", "plans/other.plan"]


def test_a_hard_link_is_a_plan_of_its_own(tmp_path: Path) -> None:
    """Both stand in git, each with the settings of its folder; a link to either is only another way to it."""
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
    (tmp_path / "a" / "x.plan").write_text("")
    (tmp_path / "b" / "y.plan").hardlink_to(tmp_path / "a" / "x.plan")
    (tmp_path / "b" / "z.plan").symlink_to(tmp_path / "b" / "y.plan")
    assert names(list(discover([str(tmp_path)], tmp_path))) == ["a/x.plan", "b/y.plan"]
    named = [str(tmp_path / "b" / "y.plan"), str(tmp_path / "b" / "z.plan"), str(tmp_path / "a")]
    assert names(list(discover(named, tmp_path))) == ["b/y.plan", "a/x.plan"]


def test_ring_of_links_ends(tmp_path: Path) -> None:
    plans = tmp_path / "plans"
    plans.mkdir()
    (plans / "a.plan").write_text("")
    (plans / "up").symlink_to(tmp_path)
    assert names(list(discover([str(plans)], tmp_path))) == ["plans/a.plan"]


def test_what_is_not_there_is_told(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "dead").mkdir()
    (tmp_path / "dead" / "x.plan").symlink_to(tmp_path / "nowhere")
    paths = [str(tmp_path / "gone.plan"), str(tmp_path / "empty"), str(tmp_path / "dead"), "a\0b"]
    gone, empty, dead, nul = discover(paths, tmp_path)
    assert isinstance(gone, Refused)
    assert "no such file" in gone.says
    assert isinstance(empty, Refused)
    assert "no plan in this folder" in empty.says
    assert isinstance(dead, Refused)
    assert (dead.path, dead.says) == (str(tmp_path / "dead" / "x.plan"), gone.says)
    assert isinstance(nul, Refused)


def test_standard_input_is_found_by_its_sign(tmp_path: Path) -> None:
    assert list(discover(["-"], tmp_path)) == [Found("-", "-")]


def test_left_out_names(folder: Path) -> None:
    found = list(discover(["."], folder, lambda path: path.startswith("tables/")))
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
    # Links change no name: they are told behind all that is called by its own.
    assert not any(each.name.startswith("again") for each in paths)
    assert "frames/plan01.plan" in names(found)


def test_link_stands_for_a_plan_that_is_not_met_otherwise(folder: Path) -> None:
    (folder / "frames" / "a.plan").symlink_to(folder / "tables" / "plan00.plan")
    (folder / "frames" / "b.plan").symlink_to(folder / "frames" / "plan01.plan")
    found = names(list(discover(["frames"], folder)))
    assert found[0] == "frames/plan01.plan"
    assert found[-1] == "tables/plan00.plan"
    assert not {"frames/a.plan", "frames/b.plan"} & {*found}


def test_a_plan_has_one_name_however_it_is_reached(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run_git(folder, "init")
    (folder / "frames" / "plan01.plan").write_text(FAULTY)
    (folder / "planlint.toml").write_text('[folders.frames.rules]\nlone-screw = "advice"\n')
    (folder / "again").symlink_to("frames")
    (folder / "tables" / "best.plan").symlink_to("../frames/plan01.plan")
    one = called(capsys, "inspect", "frames/plan01.plan", "--as", "json")
    assert '"grade": "advice"' in one[1]
    called(capsys, "ledger", "record", "again/plan01.plan")
    for path in ("again/plan01.plan", "tables/best.plan", "tables/../again/plan01.plan"):
        assert called(capsys, "inspect", path, "--as", "json") == one
        assert called(capsys, "inspect", path, "--ledger", "planlint.ledger")[0] == 0
    assert '"frames/plan01.plan"' in (folder / "planlint.ledger").read_text()
    # The root itself may be reached through a link: nothing inside it is called otherwise.
    (folder.parent / "way").symlink_to(folder)
    way = str(folder.parent / "way" / "frames" / "plan01.plan")
    assert json.loads(called(capsys, "inspect", way, "--as", "json")[1])["plans"][0]["path"] == way


@git
@pytest.mark.parametrize("mark", ["repository", "settings", "repository below settings"])
def test_a_plan_has_one_name_whoever_asks(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, mark: str
) -> None:
    folder = tmp_path / "all"
    for name in ("frames", "tables"):
        (folder / name).mkdir(parents=True)
        (folder / name / "plan01.plan").write_text(FAULTY)
    for each in (folder, folder / "frames"):
        if mark == "repository" or (mark != "settings" and each != folder):
            run_git(each, "init", "-q")
        else:
            (each / "planlint.toml").write_text("")
    (folder.parent / "way").symlink_to(folder / "frames")
    told = []
    for here, asked in (
        (".", "."),
        (".", "frames"),
        ("frames", "."),
        ("tables", "../../way/plan01.plan"),
    ):
        monkeypatch.chdir(folder / here)
        forms = {
            form: called(capsys, "inspect", asked, "--as", form)[1] for form in ("sarif", "quality", "text")
        }
        results = json.loads(forms["sarif"])["runs"][0]["results"]
        of_plan = [each for each in results if "frames/plan01.plan" in str(each["locations"])]
        quality = [
            each for each in json.loads(forms["quality"]) if each["location"]["path"] == "frames/plan01.plan"
        ]
        lines = [each for each in forms["text"].splitlines() if each.startswith("frames/plan01.plan ")]
        told.append((of_plan, quality, lines))
    assert all(told[0])
    assert told.count(told[0]) == 4


def test_what_cannot_be_opened_is_named_from_the_root(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    run_git(folder, "init")
    monkeypatch.chdir(folder / "frames")
    for form in ("text", "junit", "sarif", "markdown"):
        assert "frames/nowhere.plan" in called(capsys, "inspect", "nowhere.plan", "--as", form)[1]
    assert Refused("nowhere.plan", "there is no such file or folder", name="frames/nowhere.plan") in list(
        discover(["nowhere.plan"], folder)
    )


def test_link_to_itself_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.plan").symlink_to("a.plan")
    (tmp_path / "folder").symlink_to("folder")
    (tmp_path / "gone.plan").symlink_to("nowhere.plan")
    (told, gone) = names(list(discover([str(tmp_path)], tmp_path)))
    assert "a.plan: this cannot be read" in told
    assert "there is no such file" in gone


def test_named_plans_are_left_out_where_that_is_wanted(folder: Path) -> None:
    def left_out(path: str) -> bool:
        return "tables" in path

    asked = ["tables/plan00.plan", "frames/plan01.plan"]
    assert names(list(discover(asked, folder, left_out))) == asked
    assert names(list(discover(asked, folder, left_out, named_too=True))) == asked[1:]


def test_root(folder: Path) -> None:
    assert find_root(["frames", "tables"]) == folder.resolve()
    (folder / "frames" / "planlint.toml").write_text("")
    assert find_root(["frames"]) == folder.resolve() / "frames"
    (folder / ".git").mkdir()
    assert find_root(["frames"]) == folder.resolve()
    assert told_from(folder, "frames/a.plan") == "frames/a.plan"
    assert told_from(folder, str(folder / "frames" / ".." / "a.plan")) == "a.plan"
    for said in (".", "./", str(folder), str(folder / "frames" / "..")):
        assert told_from(folder, said) == "."


@pytest.mark.parametrize("said", [".", "./", "{0}", "../{1}", "frames/.."])
def test_same_names_however_the_root_is_said(folder: Path, said: str) -> None:
    """A ledger and a SARIF file know plans by these names."""
    found = list(discover([said.format(folder, folder.name)], folder))
    assert names(found)[:1] == ["frames/plan01.plan"]
    assert names(found) == names(list(discover(["."], folder)))


def test_folder_of_plans_that_were_named_before(tmp_path: Path) -> None:
    plan = tmp_path / "frame.plan"
    plan.write_text(SOUND)
    assert names(list(discover([str(plan), str(tmp_path)], tmp_path))) == ["frame.plan"]


IGNORING = [
    "a/",
    "/a",
    "b",
    "*.plan",
    "one.plan",
    "!one.plan",
    "a/b/",
    "**/b/*.plan",
    "!a/",
    "*",
    "!*/",
    "x y/",
]
PLANS = ["one.plan", "two.plan"]
FOLDERS = ["", "a/", "b/", "a/b/", "b/a/", "x y/", "x y/b/"]


@git
@settings(deadline=None, max_examples=25)
@given(
    plans=st.sets(st.tuples(st.sampled_from(FOLDERS), st.sampled_from(PLANS)).map("".join), min_size=1),
    ignoring=st.dictionaries(
        st.sampled_from(["", "a", "b", "a/b"]),
        st.lists(st.sampled_from(IGNORING), min_size=1, max_size=3),
        max_size=2,
    ),
    added=st.integers(0, 3),
    within=st.sampled_from([".", "a", "b", "a/b"]),
)
def test_what_git_ignores_is_what_git_says_of_each_file(
    tmp_path_factory: pytest.TempPathFactory,
    plans: set[str],
    ignoring: dict[str, list[str]],
    added: int,
    within: str,
) -> None:
    """Held against ``git check-ignore``, which is asked about one file after the other."""
    top = tmp_path_factory.mktemp("repository").resolve()
    run_git(top, "init", "-q")
    for name in plans:
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_text(SOUND)
    for at, patterns in ignoring.items():
        (top / at).mkdir(parents=True, exist_ok=True)
        (top / at / ".gitignore").write_text("\n".join(patterns) + "\n")
    for name in sorted(plans)[:added]:  # What git keeps track of it does not ignore.
        run_git(top, "add", "-f", name)
    inside = sorted(name for name in plans if within == "." or name.startswith(f"{within}/"))
    if not inside:
        return
    asked = ["git", "check-ignore", *(f"./{name}" for name in inside)]
    said = subprocess.run(asked, cwd=top, check=False, capture_output=True, text=True)
    assert said.returncode in (0, 1), said.stderr
    ignored = {name.removeprefix("./") for name in said.stdout.splitlines()}
    found = [each.name for each in discover([str(top / within)], top) if isinstance(each, Found)]
    assert set(found) == set(inside) - ignored
