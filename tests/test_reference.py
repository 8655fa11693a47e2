"""The user's reference: every example in it is read, and the editor's word list is the grammar's."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from planlint.language.any_order import called
from planlint.language.grammar_cache import tools
from planlint.language.joint_table import JOINTS
from planlint.language.reader import read
from planlint.language.vocabulary import FIRST_WORDS, RESERVED, WORDS_OF_TERMINAL
from planlint.text.resources import resource
from planlint.text.source import PlanText
from tests.word_lists import REFERENCE_PAGES, written

PAGES = {page: resource("grammar", page).read_text("utf-8") for page in REFERENCE_PAGES}
REFERENCE = "\n".join(PAGES.values())
BLOCKS = re.findall(r"^```(plan(?:-lines)?)\n(.*?)^```$", REFERENCE, re.MULTILINE | re.DOTALL)
WHOLE = [text for kind, text in BLOCKS if kind == "plan"]
LINES = [line for kind, text in BLOCKS if kind == "plan-lines" for line in text.splitlines()]


def keywords() -> set[str]:
    """Every word of the grammar."""
    lists = [word for words in WORDS_OF_TERMINAL.values() for phrase in words for word in phrase.split()]
    strings = [term.pattern.value for term in tools().lark.terminals if term.pattern.type == "str"]
    return {*lists, *(word for word in strings if word.isalpha())}


def test_every_page_is_listed_and_every_link_leads_somewhere() -> None:
    assert {page.name for page in resource("grammar").glob("*.md")} == set(PAGES)
    targets = set(re.findall(r"\(([a-z]+\.md#?[\w-]*)\)", PAGES["reference.md"]))
    for text in PAGES.values():
        links = re.findall(r"\]\(([^)]+)\)", text)
        assert [each for each in links if each not in targets and not each.startswith("drawings/")] == []


@pytest.mark.parametrize("text", WHOLE, ids=lambda text: text.split("\n", 1)[0])
def test_whole_plans_read_without_a_mistake(text: str) -> None:
    tree, mistakes = read(PlanText("reference.md", text))
    assert mistakes == []
    assert tree.statements


@pytest.mark.parametrize("line", LINES)
def test_lines_parse(line: str) -> None:
    assert tools().lark.parse(line.split("#", maxsplit=1)[0].strip(), start="line") is not None


def test_there_is_an_example_for_every_word() -> None:
    # Units and nouns are synonyms of one another, and their table names them; `in` and `rings down` are shown.
    shown = set(re.findall(r"[\w-]+", REFERENCE))
    nouns = set(WORDS_OF_TERMINAL["NOUN"])
    assert keywords() - shown - nouns == set()


def test_examples_use_every_kind_of_line() -> None:
    firsts = {line.split()[0] for text in WHOLE for line in text.splitlines() if line.strip()}
    firsts |= {line.split()[0] for line in LINES}
    assert firsts >= set(FIRST_WORDS[""])
    assert firsts >= {"flush", "set", "proud", "centred", "pockets", "screws", "glued", "slotted", "as"}


def test_every_joint_and_reserved_word_is_named() -> None:
    assert [joint for joint in JOINTS if f"`{joint}`" not in REFERENCE] == []


def test_written_lists_are_as_their_tables_have_them() -> None:
    for path, text in written():
        assert path.read_text(encoding="utf-8") == text, f"run python -m tests.word_lists: {path.name}"


def test_each_first_word_starts_a_line_and_no_other_word_does() -> None:
    """The table of first words against the parser itself."""
    known = {word for words in FIRST_WORDS.values() for word in words}
    midway: Any = tools().lark.parse_interactive("", start="line")
    texts = {each.name: each.pattern.value for each in tools().lark.terminals if each.pattern.type == "str"}
    firsts = {
        word for name in midway.accepts() for word in WORDS_OF_TERMINAL.get(name, (texts.get(name, ""),))
    }
    assert {word for word in firsts if word.isalpha()} - {
        "min",
        "max",
        *WORDS_OF_TERMINAL["FUNCTION"],
    } == known


@pytest.mark.parametrize(
    ("written_as", "whole"),
    [
        ("3/4", True), ("1-1/2", True), ("1 1/2", True), ("0.75", True), (".5", True), ("3/4\"", True),
        ("3/4 in", True), ("3 inches", True), ("2'", True), ("2 ft 6 in", True), ("2' 6-1/2\"", True), ("19 mm", True),
        ("4.5cm", True), ("1.2 m", True), ("3 in long", False), ("2 in back", False), ("1 foot", True),
        ("6 miles", False),
    ],
)  # fmt: skip
def test_a_number_takes_its_unit_with_it(written_as: str, *, whole: bool) -> None:
    pattern = re.compile(tools().lark.get_terminal("NUMBER").pattern.to_regexp())
    found = pattern.match(written_as)
    assert found is not None and (found.end() == len(written_as)) is whole


def test_the_editors_words_are_the_grammars_and_those_that_are_read_as_one() -> None:
    repository = json.loads(resource("grammar", "editor.json").read_text(encoding="utf-8"))["repository"]
    lists = [repository[name]["match"] for name in ("statement", "side", "joint", "word")]
    lists.append(repository["number"]["match"].rsplit("|(", 1)[1])
    words = {word for one in lists for word in re.findall(r"[A-Za-z][A-Za-z-]*", re.sub(r"\\[bs]", " ", one))}
    assert words == keywords() | {word for phrase in called("meant") for word in phrase.split()}
    for rule in repository.values():
        re.compile(rule["match"])


def test_reserved_words_are_those_that_could_be_taken_for_a_name() -> None:
    """A word that can stand in the same place as a name must be reserved, else one of the two is never read."""
    terminals = {terminal.name: terminal for terminal in tools().lark.terminals}
    lalr: Any = tools().lark.parser.parser
    states = lalr._parse_table.states
    beside_names = {name for accepted in states.values() if "NAME" in accepted for name in accepted}
    words = {
        terminals[name].pattern.value
        for name in beside_names & terminals.keys()
        if terminals[name].pattern.type == "str"
    }
    assert {word for word in words if word.isalpha()} <= RESERVED
