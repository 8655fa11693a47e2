"""One cause, one finding: and whatever is found, something is told, each finding just once."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from planlint.findings.finding import Finding, Grade
from planlint.findings.one_cause import FOLLOW, MISTURNED, one_a_cause
from planlint.text.source import Span

RULES = sorted(
    {"misfit", "overlap", "hole-in-sight", *FOLLOW, *(rule for each in FOLLOW.values() for rule in each)}
)
PARTS = ["a", "b", "c"]
FINDINGS = st.lists(
    st.builds(
        lambda rule, grade, parts, joint, kind, cause, line: Finding(
            rule,
            grade,
            "a.left" if joint else None,
            tuple(parts),
            Span(line, line + 1),
            "",
            None,
            None,
            None,
            "judgement",
            kind=kind if rule == "misfit" else "",
            cause=cause,
        ),
        st.sampled_from(RULES),
        st.sampled_from(list(Grade)),
        st.permutations(PARTS).map(lambda parts: parts[:2]),
        st.booleans(),
        st.sampled_from([MISTURNED, ""]),
        st.sampled_from(["", "x", "y"]),
        st.integers(0, 3),
    ),
    max_size=12,
)


@given(FINDINGS)
def test_whatever_is_found_something_is_told_and_nothing_twice(found: list[Finding]) -> None:
    told = one_a_cause(found)
    assert bool(told) == bool(found)
    shown = [id(each) for finding in told for each in (*finding.also, *finding.beside)]
    assert len(shown) == len(set(shown))
    assert len(told) + len(shown) <= len(found)
    worst = max((each.grade for each in found), default=None)
    assert max((each.grade for each in told), default=None) == worst
