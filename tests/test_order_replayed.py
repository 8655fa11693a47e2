"""The order of work of every demo plan replayed, part by part, with solids of manifold3d.

Nothing of the sweeps and freedoms that found the order is used: what comes in is moved back out the way it came, bit by
bit, and may nowhere share more wood with what stands than where it is at home, for that is what lies in the joints.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from manifold3d import Manifold, OpType

from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import understand
from planlint.model.workshop import Settings
from planlint.text.source import PlanText
from planlint.workplan.step_data import Step
from planlint.workplan.work_steps import work_steps
from tests.solids import solid

HERE = Path(__file__).parent
PLANS = sorted((HERE.parent / "planlint" / "demo").glob("*.plan")) + sorted((HERE / "orders").glob("*.plan"))
AWAY = (0.0, 0.05, 0.2, 0.4, 0.7, 1.0, 1.4, 2.0, 3.0, 4.5, 6.5, 9.0, 13.0, 18.0, 26.0, 40.0, 60.0)
"""Inches from home at which it is looked."""
SLIVER = 1e-3
"""Cubic inches that sides which only touch may share by rounding."""


def shared(coming: Manifold, standing: Manifold, away: tuple[float, float, float]) -> float:
    return float((coming.translate(away) ^ standing).volume())


def collides(piece: Piece, step: Step) -> list[str]:
    """The parts that run into wood as they come in."""
    if step.stuck or step.spread or step.way is None:
        return []
    found, present = [], [part.index for part in step.stands]
    way = step.way
    for unit in step.added:
        wood = [solid(body.part, body.origin) for body in (piece.body(part) for part in unit.parts)]
        fixed = [
            i
            for i in present
            if all(piece.placement.fixed_together(piece.plan.parts[i], part) for part in unit.parts)
        ]
        there = [solid(piece.bodies[i].part, piece.bodies[i].origin) for i in fixed]
        coming = Manifold.batch_boolean(wood, OpType.Add)
        standing = Manifold.batch_boolean(there, OpType.Add) if there else Manifold()
        assert way.first is None, "no demo plan turns a corner"
        volumes = [
            shared(coming, standing, (-way.last[0] * far, -way.last[1] * far, -way.last[2] * far))
            for far in AWAY
        ]
        if any(after > before + SLIVER for before, after in pairwise(volumes)) or volumes[-1] > SLIVER:
            found.append(f"step {step.number}: {[part.name for part in unit.parts]} {volumes}")
        present += [part.index for part in unit.parts]
    return found


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_what_comes_in_runs_into_nothing(path: Path) -> None:
    plan, mistakes = understand(PlanText(path.name, path.read_text("utf-8")), Settings())
    assert plan is not None and not mistakes
    piece = Piece(plan)
    steps = work_steps(piece)
    assert any(step.way is not None for step in steps)
    assert [each for step in steps for each in collides(piece, step)] == []


SHELF = """\
plan "Case with a loose shelf behind a frame"
    seen from nowhere
stock ply of birch plywood, 3/4 thick
part side_l, side_r of ply, 30 long, 11 wide, upright, facing left
part floor_b, lid of ply, 24 long, 11 wide, crosswise, facing up
part shelf of ply, 23-7/8 long, 10 wide, crosswise, facing up
part rear of ply, 30 long, 25-1/2 wide, upright, facing front
part stile_l, stile_r of ply, 30 long, 1-1/2 wide, upright, facing front
join floor_b.left, floor_b.right to side_l.right, side_r.left
    flush bottom, front
    glued
join lid.left, lid.right to side_l.right, side_r.left
    {high} from bottom
    flush front
    glued
join rear.front to side_l.back
    flush left, bottom
    glued
join rear.front to side_r.back
    flush right, bottom
    glued
join shelf.left to side_l.right
    12 from bottom
    set back 1/4 from front
    pins 2, 1/4 thick
join stile_l.back to side_l.front
    flush left, bottom
    glued
join stile_r.back to side_r.front
    flush right, bottom
    glued
"""


@pytest.mark.parametrize(("high", "tilted"), [("29-1/4", True), ("20", True), ("15", False)])
def test_a_loose_shelf_is_tilted_in_last_where_it_passes(high: str, tilted: bool) -> None:
    """22-1/2 in between the stiles, 23-7/8 in of shelf: it passes with one end so far up that 23-7/8 cos + 3/4 sin is
    less, from 22 degrees on, and is then 9.6 in high: on its pins' height, or half of it below. Solids are turned and
    drawn out degree by degree."""
    plan, mistakes = understand(PlanText("shelf.plan", SHELF.format(high=high)), Settings())
    assert plan is not None and not mistakes
    piece = Piece(plan)
    shelf = plan.part_by_name["shelf"]
    others = [solid(each, piece.body(each).origin) for each in plan.parts if each is not shelf]
    there, middle = Manifold.batch_boolean(others, OpType.Add), np.array(piece.body(shelf).middle)
    lying = solid(shelf, piece.body(shelf).origin)

    def passes(degrees: int) -> bool:
        turned = lying.translate(-middle).rotate((0.0, degrees, 0.0)).translate(middle)
        lifted = turned.translate((0.0, 0.0, 12.1 - turned.bounding_box()[2]))
        return any(
            all((each.translate((0.0, -far, 0.0)) ^ there).volume() < SLIVER for far in range(0, 24, 2))
            for each in (lifted, turned.translate((0.0, 0.0, 0.1)))
        )

    assert any(passes(degrees) for degrees in range(1, 60)) is tilted
    step = next(step for step in work_steps(piece) if shelf in step.comes)
    assert (step.help is not None and step.help.how == "tilted") is tilted
    assert (step.made == tuple(plan.parts)) is tilted
