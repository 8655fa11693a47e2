"""Conversions: the four things that must hold, on random pieces of each joint kind and on the demo collection."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.conversions import LET_IN, boards, check_four_things, converted, lapped, let_in, plain, shelves

DEMO = Path(__file__).parent.parent / "planlint" / "demo"
PLANS = sorted(DEMO.glob("*.plan"))
FEW = settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@pytest.mark.parametrize("kind", LET_IN)
@given(data=st.data())
@FEW
def test_a_board_let_in_at_both_ends(kind: str, data: st.DataObject) -> None:
    text = data.draw(let_in(kind))
    conversion = converted(text)
    assert not conversion.unread, (conversion.unread, text)
    check_four_things(conversion)


@given(shelves())
@FEW
def test_shelves_in_dadoes(text: str) -> None:
    conversion = converted(text)
    assert not conversion.unread, (conversion.unread, text)
    check_four_things(conversion)
    assert "dado board" not in conversion.result.text


@given(lapped())
@FEW
def test_laps(text: str) -> None:
    conversion = converted(text)
    assert not conversion.unread, (conversion.unread, text)
    check_four_things(conversion)
    for joint in conversion.joints:
        # A lap may leave a piece too short for a pocket, or for screws at all; nothing else stands against it.
        stops = joint.tried and all(trial.cost[0] for trial in joint.tried)
        assert not joint.refused or stops or "too short" in joint.refused, text


@given(boards())
@FEW
def test_boards_with_tongues(text: str) -> None:
    conversion = converted(text)
    check_four_things(conversion)
    assert not any(joint.refused for joint in conversion.joints), conversion.joints[0].refused


@given(plain())
@FEW
def test_joints_that_change_no_size(text: str) -> None:
    check_four_things(converted(text))


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_the_demo_collection(path: Path) -> None:
    """One without traditional joints is left as it is, whatever is found in it."""
    text = path.read_text(encoding="utf-8")
    conversion = converted(text)
    if conversion.joints:
        check_four_things(conversion)
    else:
        assert conversion.result.text == text
        assert not conversion.troubles and not conversion.unread
