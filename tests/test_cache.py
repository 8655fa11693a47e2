"""What a run remembers: found again for the same bytes, settings and program, and never believed from elsewhere."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.collection import result_cache, worker
from planlint.collection.inspection_record import inspection_of, record_of
from planlint.collection.result_cache import FOLDER, KEY_VARIABLE, Cache
from planlint.command import main
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Trouble
from planlint.model.workshop import Settings
from planlint.plugins import own_rules
from planlint.rulebook.limits import Limits
from planlint.text.source import PlanText
from tests.plans import FAULTY, SOUND

FILE = "inspections"
SETTINGS = Settings()


@pytest.fixture(autouse=True)
def own_surroundings(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
    monkeypatch.delenv(KEY_VARIABLE, raising=False)


@pytest.fixture(name="folder")
def collection(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for number in range(25):
        (tmp_path / f"p{number:02}.plan").write_text((FAULTY if number % 5 == 0 else SOUND) + f"# {number}\n")
    (tmp_path / "unread.plan").write_text("nonsense\n")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(name="inspected")
def count_inspections(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The plans that were really inspected, in this process."""
    seen: list[str] = []

    def counted(source: PlanText, *more: object) -> object:
        seen.append(source.path)
        return inspect_text(source, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(worker, "inspect_text", counted)
    return seen


def called(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main.main(["inspect", ".", "--workers", "1", *words])
    told = capsys.readouterr()
    return status, told.out, told.err


@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit", "markdown"])
def test_unchanged_plans_are_not_inspected_again(
    folder: Path, capsys: pytest.CaptureFixture[str], inspected: list[str], form: str
) -> None:
    first = called(capsys, "--as", form)
    assert len(inspected) == 26
    written = (folder / FOLDER / FILE).read_bytes()
    assert called(capsys, "--as", form) == first
    assert len(inspected) == 26
    assert (folder / FOLDER / FILE).read_bytes() == written
    assert called(capsys, "--as", form, "--no-cache") == first
    assert len(inspected) == 52
    (folder / "p01.plan").write_text(FAULTY)
    assert called(capsys, "--as", form) != first
    assert len(inspected) == 53


def test_renamed_plan_is_known_by_its_content(
    folder: Path, capsys: pytest.CaptureFixture[str], inspected: list[str]
) -> None:
    called(capsys)
    (folder / "p05.plan").rename(folder / "q.plan")
    _, out, _ = called(capsys)
    assert len(inspected) == 26
    assert "q.plan" in out
    assert "p05.plan" not in out


@pytest.mark.parametrize("how", ["inspect", "ledger"])
def test_run_that_is_broken_off_keeps_what_it_learnt(
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    inspected: list[str],
    monkeypatch: pytest.MonkeyPatch,
    how: str,
) -> None:
    counted = vars(worker)["inspect_text"]  # The one that counts.

    def broken_off(source: PlanText, *more: object) -> object:
        if len(inspected) == 10:
            raise KeyboardInterrupt
        return counted(source, *more)

    (folder / "unread.plan").unlink()
    words = ["inspect", "."] if how == "inspect" else ["ledger", "record", "."]
    monkeypatch.setattr(worker, "inspect_text", broken_off)
    assert main.main([*words, "--workers", "1"]) == 130
    capsys.readouterr()
    monkeypatch.setattr(worker, "inspect_text", counted)
    assert main.main([*words, "--workers", "1"]) == (1 if how == "inspect" else 0)
    assert len(inspected) == 25
    assert len(set(inspected)) == 25


def test_few_plans_leave_nothing_behind(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.plan").write_text(SOUND)
    main.main(["inspect", str(tmp_path)])
    assert [path.name for path in tmp_path.iterdir()] == ["a.plan"]
    main.main(["inspect", str(tmp_path), "--cache", str(tmp_path / "kept")])
    assert (tmp_path / "kept" / FILE).exists()
    capsys.readouterr()


def other_settings() -> list[Settings]:
    return [
        replace(SETTINGS, most_items=5),
        replace(SETTINGS, limits=Limits.of({("lone-screw", "screws"): 3.0})),
        replace(SETTINGS, screws=replace(SETTINGS.screws, lengths=(1.0,))),
        replace(SETTINGS, profile=replace(SETTINGS.profile, angle=14.0)),
        replace(SETTINGS, viewer=replace(SETTINGS.viewer, seated_below=30.0)),
    ]


def test_other_settings_are_another_key(tmp_path: Path) -> None:
    kept = Cache(tmp_path)
    keys = {kept.key(b"a", settings) for settings in [SETTINGS, *other_settings()]}
    assert len(keys) == 6
    assert kept.key(b"b", SETTINGS) not in keys
    assert kept.key(b"a", Settings()) in keys


def test_other_program_is_another_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = Cache(tmp_path).key(b"a", SETTINGS)
    brought = tmp_path / "own.py"
    brought.write_text("x = 1")
    monkeypatch.setattr(own_rules, "own_files", lambda: iter([brought]))
    result_cache._mark_of_program.cache_clear()
    try:
        assert Cache(tmp_path).key(b"a", SETTINGS) != before
    finally:
        result_cache._mark_of_program.cache_clear()


def test_what_was_not_whole_is_not_kept(tmp_path: Path) -> None:
    kept = Cache(tmp_path)
    crashed = replace(inspect_text(PlanText("a", SOUND)), crashed=(Trouble("time", "ran out"),))
    kept.keep("key", record_of(crashed))
    kept.save()
    assert not (tmp_path / FILE).exists()


# ---------------------------------------------------------------- by another hand


def forged(file: Path) -> None:
    """Every plan is called sound by somebody who does not have the key."""
    lines = file.read_text().splitlines()
    sound = json.dumps([["Frame", "in", 2, 1], [], [], [], [], []])
    file.write_text("\n".join([lines[0], *(f"{line.split(' ')[0]} {sound}" for line in lines[1:])]))


def cut(file: Path) -> None:
    file.write_bytes(file.read_bytes()[:-20])


def emptied(file: Path) -> None:
    file.write_bytes(b"")


def noise(file: Path) -> None:
    file.write_bytes(bytes(range(256)) * 20)


def folder_instead(file: Path) -> None:
    file.unlink()
    file.mkdir()


def pipe_instead(file: Path) -> None:
    file.unlink()
    os.mkfifo(file)


@pytest.mark.parametrize("damage", [forged, cut, emptied, noise, folder_instead, pipe_instead])
def test_damaged_or_foreign_cache_changes_nothing(
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    inspected: list[str],
    damage: Callable[[Path], None],
) -> None:
    first = called(capsys)
    damage(folder / FOLDER / FILE)
    assert called(capsys) == first
    assert len(inspected) == 52


def test_cache_of_another_user_is_not_believed(
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    inspected: list[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv(KEY_VARIABLE, "one")
    called(capsys)
    called(capsys)
    assert len(inspected) == 26
    monkeypatch.setenv(KEY_VARIABLE, "two")
    called(capsys)
    assert len(inspected) == 52
    assert folder


def test_sealed_nonsense_is_inspected_again(
    folder: Path, capsys: pytest.CaptureFixture[str], inspected: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(KEY_VARIABLE, "ours")
    first = called(capsys)
    file = folder / FOLDER / FILE
    lines = file.read_text().splitlines()
    odd = ["{", "[]", "[1,2,3,4,5,6]", '[["t","in",1,1],[[1]],[],[],[],[]]', "null"]
    body = "\n".join(f"{line.split(' ')[0]} {odd[n % len(odd)]}" for n, line in enumerate(lines[1:])).encode()
    secret = result_cache._secret()
    assert secret
    file.write_bytes(result_cache._seal(secret, body) + b"\n" + body)
    assert called(capsys) == first
    assert len(inspected) == 52


def test_link_in_the_collection_is_not_written_through(
    folder: Path, capsys: pytest.CaptureFixture[str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    (folder / FOLDER).symlink_to(outside)
    called(capsys)
    assert not list(outside.iterdir())


def test_no_place_to_write(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    first = called(capsys, "--no-cache")
    (folder / FOLDER).write_text("in the way")
    assert called(capsys) == first
    (folder / "state").write_text("in the way too")
    monkeypatch.setenv("XDG_STATE_HOME", str(folder / "state"))
    assert called(capsys, "--cache", "elsewhere") == first


@given(st.sampled_from([SOUND, FAULTY, "nonsense", FAULTY + 'accept lone-screw on rail because "so"\n']))
def test_record_holds_all_that_reports_tell(text: str) -> None:
    inspection = inspect_text(PlanText("a.plan", text))
    record = json.loads(json.dumps(record_of(inspection)))
    back = inspection_of(record, "a.plan", text.encode())
    source = back.source if inspection.sound and not inspection.accepted else inspection.source
    assert back == replace(inspection, piece=None, source=source)


def test_two_runs_at_once_keep_what_both_learnt(tmp_path: Path) -> None:
    one, other = Cache(tmp_path), Cache(tmp_path)
    for cache, data in ((one, b"a"), (other, b"b")):
        cache.keep(cache.key(data, SETTINGS), [data.decode(), [], [], [], [], None])
    one.save()
    other.save()
    both = Cache(tmp_path)
    assert both.find(both.key(b"a", SETTINGS)) is not None
    assert both.find(both.key(b"b", SETTINGS)) is not None
