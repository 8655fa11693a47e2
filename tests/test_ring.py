"""Turned and bevelled parts in all of it: a ring of staves closes or is told, and its bevels judge its screws."""

from __future__ import annotations

import pytest

from planlint.findings.finding import Finding
from planlint.inspection.inspect_plan import inspect_text
from planlint.text.source import PlanText

RING = """\
plan "Planter"
    seen from nowhere
stock board of douglas fir, 3/4 x 5-1/2
let sides = SIDES
for n in 0 to sides - 1
    part stave_{n} of board, 24 + LONGER * max(0, n - sides + 2) long, crosswise, facing front
        turned n * 360 / sides about vertical
        ends cut CUT, long at front
for n in 0 to sides - 2
    join stave_{n}.right to stave_{n + 1}.left
        flush front, top
        ROW
join stave_LAST.right to stave_0.left
    flush front, top
    ROW
"""


def ring(sides: int, cut: str = "180 / sides", longer: str = "0", row: str = "glued") -> list[Finding]:
    text = RING.replace("SIDES", str(sides)).replace("LAST", str(sides - 1)).replace("CUT", cut)
    inspection = inspect_text(PlanText("ring.plan", text.replace("LONGER", longer).replace("ROW", row)))
    assert inspection.whole, inspection.unread
    return list(inspection.findings)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12, 36])
def test_a_true_ring_closes(sides: int) -> None:
    assert ring(sides) == []


def test_bevels_a_degree_off_are_told_at_every_joint() -> None:
    found = ring(6, cut="29")
    assert [finding.rule for finding in found] == ["askew"] * 6
    assert all(finding.measured == pytest.approx(2) for finding in found)


def test_one_stave_too_long_is_told_with_the_length_that_closes_the_ring() -> None:
    (finding,) = ring(6, longer="1/4")
    assert finding.rule == "misfit"
    assert len(finding.parts) == 6
    assert finding.repairs[0].says == "Make stave_5 24 in long instead of 24-1/4 in."


@pytest.mark.parametrize(("sides", "comes_out"), [(6, True), (8, True), (36, False)])
def test_the_bevel_aims_the_screws_at_the_outside(sides: int, comes_out: bool) -> None:
    """A screw from inside heads for the outer face at 15 degrees and twice the bevel: with 30 and 22-1/2 it gets there.

    Inside a hexagon of 24 in there is no room for the last driver either, inside a ring of 36 there is.
    """
    found = ring(sides, row="pockets 2 in back")
    assert ("tip-through" in {finding.rule for finding in found}) == comes_out
    if sides == 36:
        assert found == []
