"""What the units of an order of work are called, how they lie and come in: in a builder's words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from planlint.checks.row_view import listed
from planlint.geometry.facts import Vector
from planlint.model.directions import Axis, Side
from planlint.model.plan import Part
from planlint.reports.safe_words import visible
from planlint.workplan.work_steps import JoinWork, Step, Unit

MOST_NAMED = 6
"""Parts of a unit that a heading names one by one. Basis: our own judgement."""


class Names:
    """What units are called: their parts are told once, where they are made."""

    def __init__(self, steps: Sequence[Step]) -> None:
        made = [each.makes for step in steps for each in step.each() if not step.stuck]
        self._many = Counter((unit.kind, unit.side) for unit in made)
        self._before: dict[int, tuple[Part, ...]] = {}
        last: tuple[Part, ...] = ()
        for step in steps:
            self._before[step.number], last = last, step.makes.parts

    def of(self, unit: Unit) -> str:
        """A part by its name; what was made before by what it is."""
        if unit.kind == "part":
            return visible(unit.parts[0].name)
        if unit.kind in {"carcass", "base"}:
            return f"the {unit.kind}"
        if unit.kind == "fitted":
            largest = max(unit.parts, key=lambda part: part.length * part.width * part.thickness)
            return f"{visible(largest.name)} with what is fitted to it"
        what = _what(unit)
        if unit.kind in {"frame", "box", "panel"} and self._many[unit.kind, unit.side] < 2:
            return f"the {what}"
        return f"the {what} of {listed([visible(part.name) for part in unit.parts], most=MOST_NAMED)}"

    def what(self, step: Step) -> tuple[str, str]:
        """The heading of a step: what is joined, and to what, and what that makes where it is finished with it."""
        work = [work for each in step.each() for work in each.work]
        if step.spread:
            units = [self.of(unit) for unit in (*step.standing, *step.added)]
            return (
                f"Draw up {listed(units, most=len(units))} all at once, with a band round them",
                self._makes(step),
            )
        verb, to = "Join", "to"
        if all(each.clamp is None for each in work):
            verb, to = "Lay", "on"
        elif _glued(step):
            verb = "Glue"
        elif any(each.side is None for each in step.finish):
            verb, to = "Slide", "into"
        return f"{verb} {self._added(step)}", f"{to} {self._to(step)}{self._makes(step)}"

    def alike(self, step: Step) -> list[tuple[str, str]]:
        """What the same is done with as well."""
        return [
            ("Likewise", f"{self._added(twin)} to {self._to(twin)}{self._makes(twin)}") for twin in step.twins
        ]

    def _added(self, step: Step) -> str:
        return listed([self.of(unit) for unit in step.added], most=len(step.added))

    def _to(self, step: Step) -> str:
        return listed([self._standing(step, unit) for unit in step.standing], most=len(step.standing))

    def _standing(self, step: Step, unit: Unit) -> str:
        if unit.kind == "assembly" and unit.parts == self._before[step.number]:
            return "them" if len(unit.parts) == 2 else "what is together"
        return self.of(unit)

    def _makes(self, step: Step) -> str:
        unit = step.makes
        return f": the {_what(unit)}" if unit.kind in {"frame", "box", "panel"} else ""


def _what(unit: Unit) -> str:
    """``left side frame``, ``front frame``, ``panel``."""
    side = "" if unit.side is None else f"{unit.side.value} "
    if unit.kind == "frame" and unit.side is not None and unit.side.axis is Axis.X:
        side += "side "
    return f"{side}{unit.kind}"


def _glued(step: Step) -> bool:
    return all(
        not work.join.pockets
        and (work.join.glue or (work.join.tradition and work.join.tradition.kind == "glued"))
        for work in step.work
    )


_LIES = {
    Side.BOTTOM: "upright",
    Side.TOP: "upside down",
    Side.BACK: "on its back",
    Side.FRONT: "on its front",
    Side.LEFT: "on its left side",
    Side.RIGHT: "on its right side",
}


def lies(step: Step) -> list[tuple[str, str]]:
    turn, unit = "turn it: " if step.turned else "", step.makes
    if unit.kind == "frame" and unit.across is step.down.axis:
        return [("Lies", f"{turn}flat on the bench, its {step.down.value} down")]
    return [("Lies", turn + _LIES[step.down])]


_FROM = {"top": "above", "bottom": "below"}


def comes(step: Step) -> list[tuple[str, str]]:
    """How parts come in, where a joint or the wood around leaves little choice; a plain butt is not told."""
    if step.way is None:
        return []
    plain = all(work.join.tradition is None or not work.join.tradition.inset for work in step.work)
    if plain and step.way.first is None and not any(_pegged(work) for work in step.work):
        return []
    words = _from(step.way.last)
    if step.way.first is not None:
        words = f"first {_from(step.way.first)}, then {words}"
    return [("Comes", words)]


def _pegged(work: JoinWork) -> bool:
    return work.join.tradition is not None and work.join.tradition.kind in {
        "dowels",
        "biscuits",
        "loose spline",
    }


def _from(way: Vector) -> str:
    for side in Side:
        if way[side.axis] * side.sign < -0.99:
            return f"from {_FROM.get(side.value, f'the {side.value} of the piece')}"
    return "aslant, square to its joint"
