"""Steps that a builder calls the same, told as one: units made in the same steps, and parts alike that follow one
another."""

from collections.abc import Sequence
from dataclasses import replace

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.model.like_parts import lie
from planlint.workplan.step_data import Step


@of_piece
def sorts(piece: Piece) -> tuple[int, ...]:
    """A number for each part, the same for parts of one stock that lie alike, however long and wide."""
    numbers: dict[object, int] = {}
    return tuple(
        numbers.setdefault((part.stock.name, part.thickness, *lie(part)), len(numbers))
        for part in piece.plan.parts
    )


def _shape(step: Step, kind: Sequence[int]) -> tuple[object, ...]:
    """What two steps have in common that a builder calls the same: how many of what kind, and how they are joined."""
    units = tuple(sorted(tuple(kind[part.index] for part in unit.parts) for unit in step.added))
    standing = tuple(sorted(tuple(sorted(kind[part.index] for part in unit.parts)) for unit in step.standing))
    return units, standing, _joints(step), step.stuck


def _joints(step: Step) -> tuple[object, ...]:
    return tuple(
        sorted(
            repr(
                (
                    work.join.tradition.kind if work.join.tradition else None,
                    work.join.glue,
                    work.join.slotted,
                    [(row.count, row.at, row.every, row.plugged) for row in work.join.pockets],
                    [(each.kind, each.row.count, each.thick, each.length) for each in work.join.fastenings],
                    work.set_ups,
                )
            )
            for work in step.work
        )
    )


def with_twins(units: Sequence[list[Step]], kind: Sequence[int]) -> list[list[Step]]:
    """Units that are made in the same steps told as one, each step with its twins, though they differ in size: ``kind``
    numbers the parts, those of one stock that lie alike the same."""
    found: dict[object, list[Step]] = {}
    made: dict[frozenset[int], object] = {}
    for number, steps in enumerate(units):
        # What two units are made of is made alike too: else the second would be told before what goes into it.
        inside = (unit for step in steps for unit in (*step.standing, *step.added))
        shape: object = (
            *(_shape(step, kind) for step in steps),
            *(made.get(frozenset(part.index for part in unit.parts)) for unit in inside),
        )
        if steps:
            made[frozenset(part.index for part in steps[-1].made)] = shape
        if not steps or any(step.stuck for step in steps) or steps[-1].makes.kind == "piece":
            shape = number
        first = found.setdefault(shape, [])
        if not first:
            first += steps
            continue
        first[:] = [replace(one, twins=(*one.twins, other)) for one, other in zip(first, steps, strict=True)]
    return [steps for steps in found.values() if steps]


def joined_steps(steps: Sequence[Step], kind: Sequence[int]) -> list[Step]:
    """Parts alike that come in one after the other in the same way told as one step."""
    found: list[Step] = []
    for step in steps:
        last = found[-1] if found else None
        if (
            last is not None
            and not step.stuck
            and not last.stuck
            and not step.turned
            and step.way == last.way
            and step.help == last.help
            and len(step.added[0].parts) == 1
            and kind[step.added[0].parts[0].index] == kind[last.added[-1].parts[0].index]
            and len(last.added[-1].parts) == 1
            and len(step.work) * len(last.added) == len(last.work)
            and _joints(step) == _joints(replace(last, work=last.work[-len(step.work) :]))
        ):
            found[-1] = replace(
                last,
                added=(*last.added, *step.added),
                makes=step.makes,
                work=(*last.work, *step.work),
                costs=(*last.costs, *step.costs),
                spacings=(*last.spacings, *step.spacings),
                finish=tuple(dict.fromkeys((*last.finish, *step.finish))),
            )
        else:
            found.append(step)
    return found
