"""Words from a plan or a path, made fit to be shown: nothing in them steers a terminal or hides."""

import re
from collections.abc import Container
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.language.plain_lines import bare_lines
from planlint.rulebook.rule_files import Limit
from planlint.text.measures import degrees, length, past, stress, told_apart, with_its_unit


def visible(text: str) -> str:
    """The text on one line, with every character that does not show (or that steers a terminal) written out."""
    if text.isprintable():
        return text
    return "".join(_shown(character) for character in text)


_SPEAKS = re.compile(r"#(?=#\w*\[)|(?m:(?<=^):(?=:\w)|(?<=\s):(?=:\w))")
"""What build servers take for a word to them in a log: ``##name[…`` anywhere, ``::name`` at the start of a line."""


def inert(line: str) -> str:
    """A line of a log in which nothing speaks to the server that keeps it: such signs stand apart."""
    return _SPEAKS.sub(r"\g<0> ", line) if "##" in line or "::" in line else line


def _shown(character: str) -> str:
    if character.isprintable():
        return character
    if character.isspace() and character not in "\x1c\x1d\x1e\x1f\x85":
        return " "
    return f"\\x{ord(character):02x}" if ord(character) < 256 else f"\\u{ord(character):04x}"


_HALVES = re.compile(r"\\\\|\\ud[89ab]..\\ud[c-f]..|\\ud[89a-f]..")
_BYTES = re.compile(r"\\ud[c-f]..")


def safe_json(json_text: str) -> str:
    """JSON as any reader takes it, and no build server for a word to it.

    Half characters, which many readers refuse, stand there written out: such a byte of a name as ``\\udcff``.
    """
    if "##" in json_text:
        json_text = json_text.replace("##", "#\\u0023")
    if "\\ud" not in json_text:
        return json_text
    return _HALVES.sub(lambda half: f"\\{half[0]}" if len(half[0]) == 6 else half[0], json_text)


def named_again(name: str) -> str:
    """A name as it was before ``safe_json`` wrote its bytes out."""
    return _BYTES.sub(lambda byte: chr(int(byte[0][2:], 16)), name)


class NamesGiven:
    """The names that a plan gives; gathered from its text when first asked for."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._found: set[str] | None = None

    def __contains__(self, word: object) -> bool:
        if self._found is None:
            self._found = set()
            for line in bare_lines(self._text):
                first, _, rest = line.partition(" ")
                if first in _NAMING:
                    self._found.update(each.strip(" ,:") for each in rest.split(" of ")[0].split())
        return word in self._found


_NAMING = frozenset({"let", "stock", "part", "join", "for", "assembly", "place", "use"})


def path_words(path: str) -> str:
    """What a report calls a plan by its path."""
    return "standard input" if path == "-" else visible(path)


def sentence(words: str, names: Container[str] = ()) -> str:
    """With a capital in front and a stop behind, if it is ordinary words.

    One of ``names`` keeps its spelling, though it may be an ordinary word too, as ``a`` is: a name is never changed.
    """
    words = words.strip()
    first = words.split(" ", 1)[0]
    if first.isalpha() and first.islower() and first not in names:
        words = words[0].upper() + words[1:]
    return words if words.endswith((".", "!", "?", ":")) else words + "."


def quantity(value: float, unit: str | None, plan_unit: str = "in") -> str:
    """A measured value as a builder reads it: lengths in the plan's own unit."""
    if unit == "in":
        return length(value, plan_unit)
    if unit == "psi":
        return stress(value, plan_unit)
    if unit in {"degree", "degrees"}:
        return degrees(value)
    if unit == "of all eyes":
        return f"{float(f'{value * 100:.2g}'):g} % of the places looked from"
    number = f"{round(value, 3):g}"
    return with_its_unit(number, unit) if unit else number


class HeldAgainst(NamedTuple):
    """What was measured and what it was held against, each in words; either may be empty."""

    label: str
    found: str = ""
    limit: str = ""
    kept_by: bool = True
    """Whether the limit says what is allowed; else the two are only compared."""

    @property
    def words(self) -> str:
        between = "; " if self.kept_by else ", against "
        return between.join(filter(None, (self.found, self.limit)))


def measured(finding: Finding, plan_unit: str) -> tuple[str, str]:
    """What was measured against which limit, and on what that rests: a label and the words behind it."""
    held = held_against(finding, plan_unit)
    return held.label, f"{held.words} ({finding.basis})" if held.words else finding.basis


def held_against(finding: Finding, plan_unit: str) -> HeldAgainst:
    """The same without what it rests on."""
    found = None if finding.measured is None else quantity(finding.measured, finding.unit, plan_unit)
    if finding.limit is None:
        return HeldAgainst("Basis") if found is None else HeldAgainst("Measured", found)
    limit = quantity(finding.limit, finding.unit, plan_unit)
    if finding.measured is not None and finding.unit == "in":
        found, limit = told_apart(finding.measured, finding.limit, plan_unit)
    known = _limit_of(finding)
    sense = known.sense if known else None
    if found is None:
        return HeldAgainst("Limit", "", _allowed(limit, finding.limit, sense))
    if sense is None:
        return HeldAgainst("Measured", found, limit, kept_by=False)
    allowed = _allowed(limit, finding.limit, sense)
    if known and finding.measured is not None and finding.measured < 0 and sense == "least":
        found = f"{'share wood' if known.between else 'comes out'} by {past(-finding.measured, plan_unit)}"
        allowed += " must stay between" if known.between else " must stay"
    return HeldAgainst("Measured", found, allowed)


def _limit_of(finding: Finding) -> Limit | None:
    """The limit of its rule that a finding was judged by."""
    rule = rule_book().get(finding.rule)
    if rule is None:
        from planlint.plugins.own_rules import every_rule  # noqa: PLC0415 - with the machinery of an inspection

        rule = every_rule().get(finding.rule)
    return rule.limits.get(finding.judged_by) if rule else None


def _allowed(limit: str, value: float, sense: str | None) -> str:
    if sense == "most" and not value:
        return "none allowed"
    return f"at {sense} {limit}" if sense else limit


def target(finding: Finding) -> str:
    """What a finding is about, in words; names are shown as they are."""
    if finding.joint:
        return f"joint {visible(finding.joint)}"
    if finding.parts:
        names = dict.fromkeys(finding.parts)
        return f"{'part' if len(names) == 1 else 'parts'} {', '.join(map(visible, names))}"
    return "the whole piece"


def count(number: int, what: str) -> str:
    """``1 plan``, ``2 plans``."""
    return f"{number} {what}{'' if number == 1 else 's'}"
