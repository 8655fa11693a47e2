"""What a plan says of its wood, its screws and its use: read, told on, and never guessed."""

from __future__ import annotations

import pytest

from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.model.plan import Plan
from planlint.model.timber import find_material
from planlint.rulebook.figure_tables import figures
from planlint.text.source import PlanText

HEAD = """plan "Post"
{}
stock post of {}, 2-1/2 x 2-1/2
part post of post, 30 long, upright, facing front
"""


def inspected(text: str) -> Inspection:
    inspection = inspect_text(PlanText("a.plan", text))
    assert not inspection.crashed
    return inspection


def plan_of(details: str) -> Plan:
    inspection = inspected(HEAD.format(details, "pine"))
    assert inspection.piece is not None, inspection.unread
    return inspection.piece.plan


def test_what_stands_under_plan() -> None:
    plan = plan_of("    for children\n    use as bunk bed, mattress 150 mm thick\n    screws galvanised\n")
    assert (plan.for_children, plan.purpose, plan.screw_metal) == (True, "bunk bed", "galvanized")
    assert plan.mattress is not None
    assert float(plan.mattress) == pytest.approx(150 / 25.4)
    plain = plan_of("")
    assert (plain.for_children, plain.purpose, plain.screw_metal, plain.mattress) == (False, None, None, None)


@pytest.mark.parametrize(
    ("details", "says"),
    [
        ("    use as bunk bed, mattress 4 - 6 thick\n", "mattress"),
        ("    use as crib\n    use as bunk bed\n", "used as is already said"),
        ("    screws stainless\n    screws coated\n", "made of is already said"),
        ("    for children\n    for children\n", "for children is already said"),
    ],
)
def test_mistakes_under_plan(details: str, says: str) -> None:
    told = " ".join(words for _, words in inspected(HEAD.format(details, "pine")).unread)
    assert says in told


def test_woods_of_the_figures_are_known() -> None:
    for wood in figures("rust")["tannin"]["woods"]:
        found = find_material(wood)
        assert found is not None
        assert found.stands_for == wood
