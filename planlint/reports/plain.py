"""Words from a plan or a path, made fit to be shown: nothing in them steers a terminal or hides."""

from __future__ import annotations

from collections.abc import Collection

from planlint.findings.finding import Finding
from planlint.text.measures import degrees, length


def visible(text: str) -> str:
    """The text on one line, with every character that does not show (or that steers a terminal) written out."""
    if text.isprintable():
        return text
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character.isprintable():
        return character
    if character.isspace() and character not in "\x1c\x1d\x1e\x1f\x85":
        return " "
    return f"\\x{ord(character):02x}" if ord(character) < 256 else f"\\u{ord(character):04x}"


def sentence(words: str, names: Collection[str] = ()) -> str:
    """With a capital in front and a stop behind, if it is ordinary words; one of ``names`` keeps its spelling."""
    words = words.strip()
    first = words.split(" ", 1)[0]
    if first.isalpha() and first.islower() and first not in names:
        words = words[0].upper() + words[1:]
    return words if words.endswith((".", "!", "?", ":")) else words + "."


def quantity(value: float, unit: str | None, plan_unit: str = "in") -> str:
    """A measured value as a builder reads it: lengths in the plan's own unit."""
    if unit == "in":
        return length(value, plan_unit)
    if unit in {"degree", "degrees"}:
        return degrees(value)
    number = f"{round(value, 3):g}"
    if not unit:
        return number
    return f"{number} {unit.removesuffix('s') if number == '1' and ' ' not in unit else unit}"


def measured(finding: Finding, plan_unit: str) -> tuple[str, str]:
    """What was measured against which limit, and on what that rests: a label and the words behind it."""
    limit = None if finding.limit is None else quantity(finding.limit, finding.unit, plan_unit)
    if finding.measured is not None:
        found = quantity(finding.measured, finding.unit, plan_unit)
        return (
            "Measured",
            f"{found}; limit {limit} ({finding.basis})" if limit else f"{found} ({finding.basis})",
        )
    return ("Limit", f"{limit} ({finding.basis})") if limit else ("Basis", finding.basis)


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
