"""The rule book: every file is whole, and the ready-made book says what the files say."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from planlint.checks.acceptance import OWN_RULES
from planlint.findings.finding import Grade, Repair
from planlint.findings.rules_in_force import rule_book
from planlint.model.workshop import Settings
from planlint.rulebook import rule_files
from planlint.rulebook.limits import Limits
from planlint.rulebook.rule_files import book_pages
from planlint.rulebook.rule_page import check_page
from planlint.text.source import Span

FILES = sorted(rule_files.rules_folder().glob("*.toml"))

PAGE = """\
name = "odd-peg"
grade = "caution"
order = 7
question = "Is a peg odd?"
why = "Odd pegs work loose."
repair = "Use another peg."
[[limit]]
name = "least"
value = 2
unit = "pegs"
basis = "published source"
source = "Handbook of Pegs, 1999"
note = "for dry wood"
[[limit]]
name = "most"
value = 9.5
unit = "in"
basis = "judgement"
[[case]]
title = "one peg"
plan = '''
plan "A"
'''
findings = ["odd-peg on a.left"]
"""


@pytest.fixture
def own_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A rule book of one rule, with its ready-made file beside it."""
    folder = tmp_path / "rules"
    folder.mkdir()
    (folder / "odd-peg.toml").write_text(PAGE, encoding="utf-8")
    monkeypatch.setattr(rule_files, "rules_folder", lambda: folder)
    monkeypatch.setattr(rule_files, "_READY", tmp_path / "_ready" / "rules.bin")
    forget()
    yield folder
    forget()


def forget() -> None:
    book_pages.cache_clear()
    rule_book.cache_clear()


def ready_file() -> Path:
    path: Path = rule_files._READY
    return path


def test_there_are_rules() -> None:
    assert len(FILES) >= 20


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_rule_file_is_whole(path: Path) -> None:
    page = check_page(path.name, tomllib.loads(path.read_text(encoding="utf-8")))
    assert page.question.rstrip().endswith("?")


def test_orders_differ() -> None:
    orders = [rule.order for rule in rule_book().values()]
    assert len(set(orders)) == len(orders)


def test_own_rules_are_in_the_book() -> None:
    assert set(rule_book()) >= OWN_RULES


@pytest.mark.usefixtures("own_book")
def test_rule_says_what_its_file_says() -> None:
    rule = rule_book()["odd-peg"]
    assert (rule.grade, rule.order) == (Grade.CAUTION, 7)
    assert (rule.question, rule.why, rule.repair) == (
        "Is a peg odd?",
        "Odd pegs work loose.",
        "Use another peg.",
    )
    assert rule.limits["least"].told == "published source: Handbook of Pegs, 1999"
    assert rule.limits["most"].told == "judgement"
    assert (rule.note("least"), rule.note("most")) == ("for dry wood", "")
    assert [(case.title, case.findings) for case in rule.cases] == [("one peg", ("odd-peg on a.left",))]


@pytest.mark.usefixtures("own_book")
def test_settings_change_a_limit() -> None:
    rule = rule_book()["odd-peg"]
    changed = Settings(limits=Limits.of({("odd-peg", "least"): 5.0}))
    assert [rule.limit("least", Settings()), rule.limit("least", changed), rule.limit("most", changed)] == [
        2,
        5,
        9.5,
    ]


@pytest.mark.usefixtures("own_book")
def test_finding_takes_the_basis_of_a_limit() -> None:
    rule = rule_book()["odd-peg"]
    first = rule.finding(span=Span(1, 2), says="odd", repairs=["Mend it."])
    assert first.basis == "published source: Handbook of Pegs, 1999"
    assert first.repairs == (Repair("Mend it."),)
    assert rule.finding(span=Span(1, 2), says="odd", basis="most").basis == "judgement"
    assert rule.finding(span=Span(1, 2), says="odd", basis="geometry").basis == "geometry"


@pytest.mark.usefixtures("own_book")
def test_book_is_the_same_ready_made() -> None:
    read = dict(rule_book())
    assert ready_file().exists()
    forget()
    assert dict(rule_book()) == read


def test_changed_rule_file_wins_over_the_ready_book(own_book: Path) -> None:
    rule_book()
    file = own_book / "odd-peg.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("value = 2", "value = 3"), encoding="utf-8")
    forget()
    assert rule_book()["odd-peg"].limits["least"].value == 3


@pytest.mark.usefixtures("own_book")
@pytest.mark.parametrize("damage", [b"", b"nonsense", None])
def test_damaged_ready_book_is_passed_over(damage: bytes | None) -> None:
    rule_book()
    whole = ready_file().read_bytes()
    ready_file().write_bytes(whole[:-5] if damage is None else damage)
    forget()
    assert rule_book()["odd-peg"].limits["least"].value == 2


def test_read_only_place_is_no_trouble(own_book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rule_files, "_READY", own_book / "odd-peg.toml" / "rules.bin")
    assert list(rule_book()) == ["odd-peg"]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('grade = "caution"', 'grade = "fatal"', "grade"),
        ("order = 7", 'order = 7\nmood = "glum"', "mood"),
        ('source = "Handbook of Pegs, 1999"', "", "must name it"),
        ('name = "most"', 'name = "least"', "named twice"),
        ("value = 2", "value = inf", "finite"),
        ('name = "odd-peg"', 'name = "even-peg"', "even-peg"),
        ("[[case]]", "[[case", "cannot be read"),
    ],
)
def test_broken_rule_file_is_refused(own_book: Path, old: str, new: str, says: str) -> None:
    assert old in PAGE
    (own_book / "odd-peg.toml").write_text(PAGE.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(ValueError, match=says) as problem:
        rule_files.make_ready()
    assert "odd-peg.toml" in str(problem.value)


@pytest.mark.usefixtures("own_book")
def test_make_ready_serves_the_next_start(monkeypatch: pytest.MonkeyPatch) -> None:
    assert rule_files.make_ready() == ready_file()
    monkeypatch.setattr(rule_files, "_parse", lambda *_: pytest.fail("read the rule files again"))
    assert list(rule_book()) == ["odd-peg"]
