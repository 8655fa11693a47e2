"""What the units of an order of work are called, how they lie and come in: in a builder's words."""

from collections.abc import Sequence

from planlint.geometry.join_holds import glued
from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.vectors import scaled
from planlint.model.directions import Axis, Side
from planlint.model.plan import Part
from planlint.reports.numbered_names import runs_of
from planlint.reports.safe_words import visible
from planlint.text.grouping import grouped
from planlint.text.measures import listed
from planlint.workplan.order_costs import CLOSES, SLIDES_IN, WARNED, WHY
from planlint.workplan.step_data import JoinWork, Step, Unit

_MOST_NAMED = 6
"""Parts of a unit that are named one by one where it has no better name. Basis: our own judgement."""
_FEW = 3
"""Parts of a unit that are as good a name as any. Basis: our own judgement."""

PLAIN = 4
"""Parts that are closed in by another, up to which nobody asks why that comes last. Basis: our own judgement."""


class Names:
    """What units are called: their parts are told once, where they are made."""

    def __init__(self, steps: Sequence[Step]) -> None:
        self._units = units = dict.fromkeys(
            unit
            for step in steps
            if not step.stuck
            for each in step.each()
            for unit in (each.makes, *each.added, *each.standing)
            if len(unit.parts) > 1 and not unit.name
        )
        # What is made up by itself has the name to itself, whatever is on the way to something else meanwhile.
        self._shared = {
            own: _shared([unit for unit in units if unit.own or not own]) for own in (True, False)
        }
        self._panels = [unit for unit in units if unit.kind == "panel"]
        self._before: dict[int, tuple[Part, ...]] = {}
        last: tuple[Part, ...] = ()
        for step in steps:
            self._before[step.number], last = last, step.makes.parts

    def of(self, unit: Unit) -> str:
        """A part by its name; what was made before by what it is."""
        names = [visible(part.name) for part in unit.parts]
        what = _what(unit)
        if unit.kind == "part":
            return names[0]
        if unit.name:
            return visible(unit.name)
        if unit.kind in {"fitted", "layers"}:
            largest = max(unit.parts, key=lambda part: part.length * part.width * part.thickness)
            panel = next((u for u in self._panels if largest in u.parts and {*u.parts} < {*unit.parts}), None)
            bare = visible(largest.name) if panel is None else self.of(panel)
            others = [p.name for p in unit.parts if p not in (panel.parts if panel else (largest,))]
            return f"{bare} with {listed(others) if len(others) < _FEW else 'what is on it'}"
        if unit.kind == "assembly" and len(names) <= _FEW:
            return listed(names)
        if unit.kind not in {"assembly", "piece"} and what not in self._shared[unit.own]:
            return f"the {what}"
        stem = unit.parts[0].name.partition("_")[0] + "_"
        apart = {part for each in self._units if {*each.parts}.isdisjoint(unit.parts) for part in each.parts}
        if {*unit.parts} == {part for part in {*unit.parts} | apart if part.name.startswith(stem)}:
            return f"the {what} of {visible(stem[:-1])}"
        return f"the {what} of {listed(names, most=_MOST_NAMED)}"

    def what(self, step: Step) -> tuple[str, str]:
        """The heading of a step: what is joined, and to what."""
        if step.spread:
            units = [self.of(unit) for unit in (*step.standing, *step.added)]
            return f"Draw up {listed(units, most=len(units))} all at once,", "with a band round them"
        if step.help is not None and step.help.how in _HELPED:
            return f"{_HELPED[step.help.how]} {self._added(step)}", f"into {self._to(step)}"
        if step.carried:
            return f"{'Glue' if _glued(step) else 'Set'} {self._to(step)}", f"on {self._added(step)}"
        verb = _verb(step, "Join")
        if step.makes.kind == "panel" and all(unit.kind == "part" for unit in (*step.added, *step.standing)):
            words = numbered_runs(step.made)
            up = " up" if verb == "Glue" else ""
            return f"{verb}{up} {listed(words, most=len(words))}", "edge to edge"
        inside = verb == "Lay" and step.inside and all(u.kind not in {"base", "part"} for u in step.standing)
        to = "in" if inside else _TO.get(verb, "to")
        return f"{verb} {self._added(step)}", f"{to} {self._to(step)}"

    def alike(self, step: Step) -> list[tuple[str, str]]:
        """What the same is done with as well, and how often in all."""
        if not step.twins:
            return []
        first = all(unit.kind == "part" or unit.own for unit in step.standing)
        others = [self._added(twin) + (f" to {self._to(twin)}" if first else "") for twin in step.twins]
        if step.carried:
            others = [f"{self._to(twin)} on {self._added(twin)}" for twin in step.twins]
        others = [
            f"{told}{_otherwise(step, twin, first)}" for told, twin in zip(others, step.twins, strict=True)
        ]
        return [(f"{len(others) + 1} times", f"likewise {'; '.join(others)}")]

    def lies(self, step: Step) -> list[tuple[str, str]]:
        """Which way up the work lies, and what it lies on."""
        turn = "turn it: " if step.turned else ""
        if step.flat and not step.carried:
            return [("Lies", f"{turn}flat on the bench, its {step.down.value} down")]
        words = turn + _LIES[step.down]
        return [("Lies", f"{words}; {self._added(step)} flat on the bench" if step.carried else words)]

    def makes(self, step: Step) -> list[tuple[str, str]]:
        """The units that are finished with a step, each with its parts."""
        made = [each.makes for each in step.each() if each.makes.own]
        told = [
            (self.of(unit), numbered_runs(unit.parts), unit.kind in {"fitted", "layers"}) for unit in made
        ]
        words = [
            name if plain or name.endswith(listed(parts, most=len(parts))) else f"{name} ({', '.join(parts)})"
            for name, parts, plain in told
        ]
        return [("Makes", listed(words, most=len(words)))] if made else []

    def _added(self, step: Step) -> str:
        if len(step.added) > _FEW:
            words = numbered_runs([part for unit in step.added for part in unit.parts])
            return f"{listed(words, most=len(words))} ({len(step.added)} in all)"
        added = sorted(step.added, key=lambda unit: unit.parts[0].index)
        return listed([self.of(unit) for unit in added], most=len(added))

    def _to(self, step: Step) -> str:
        if len(step.standing) > _FEW and all(unit.kind == "part" for unit in step.standing):
            words = numbered_runs([part for unit in step.standing for part in unit.parts])
            return listed(words, most=len(words))
        return listed([self._standing(step, unit) for unit in step.standing], most=len(step.standing))

    def _standing(self, step: Step, unit: Unit) -> str:
        if unit.parts == self._before[step.number] and not unit.own and len(unit.parts) > 1:
            if len(unit.parts) == 2:
                return "them"
            if unit.kind == "assembly" or _what(unit) in self._shared[False]:
                return "what is together"
        return self.of(unit)


def _shared(units: Sequence[Unit]) -> set[str]:
    """The words that would call two sets of parts the same that share none."""
    by_words = grouped((_what(unit), frozenset(part.name for part in unit.parts)) for unit in units)
    return {
        words
        for words, sets in by_words.items()
        if any(one.isdisjoint(other) for n, one in enumerate(sets) for other in sets[:n])
    }


def _otherwise(step: Step, twin: Step, first: bool) -> str:
    """Which way up a twin lies, and whence its parts come, where that is not as in the step that is told; in the
    ``first`` that its sizes are others."""
    down = f", its {twin.down.value} down" if twin.down is not step.down else ""
    way = comes(twin)
    sizes = [sorted((p.length, p.width) for p in each.made) for each in (step, twin)]
    down += ", in its own sizes" if sizes[0] != sizes[1] and first else ""
    return down + (f", {way[0][1]}" if way and way != comes(step) else "")


def _what(unit: Unit) -> str:
    """``left side frame``, ``front frame``, ``panel``."""
    side = "" if unit.side is None else f"{unit.side.value} "
    if unit.kind == "frame" and unit.side is not None and unit.side.axis is Axis.X:
        side += "side "
    return f"{side}{unit.kind}"


def numbered_runs(parts: Sequence[Part]) -> list[str]:
    """Names of parts, those numbered one after the other as a run: ``slat_1 through slat_8``."""
    return runs_of([part.name for part in sorted(parts, key=lambda part: part.index)])


_HELPED = {"tilted": "Tilt", "sprung": "Spring"}
_TO = {"Lay": "on", "Slide": "into", "Hang": "on", "Run": "into"}
_DRIVEN = {"nails": "Nail", "screws": "Screw", "bolts": "Bolt", "hinges": "Hang", "slides": "Run"}


def _verb(step: Step, plain: str) -> str:
    work = [work for each in step.each() for work in each.work]
    if all(each.join.rests for each in work):
        return "Lay"
    work = [each for each in work if not each.join.rests]
    if any(each.side is None for each in step.finish):
        return "Slide"
    if _glued(step):
        return "Glue"
    kinds = {row.kind for each in work for row in each.join.fastenings}
    alone = all(each.join.fastenings and not (each.join.pockets or each.join.glue) for each in work)
    return _DRIVEN.get(next(iter(kinds)), plain) if alone and len(kinds) == 1 else plain


def _glued(step: Step) -> bool:
    made = [work.join for work in step.work if not work.join.rests]
    return bool(made) and all(not join.pockets and glued(join) for join in made)


_LIES = {
    Side.BOTTOM: "upright",
    Side.TOP: "upside down",
    Side.BACK: "on its back",
    Side.FRONT: "on its front",
    Side.LEFT: "on its left side",
    Side.RIGHT: "on its right side",
}


def why_now(step: Step) -> list[tuple[str, str]]:
    """Why a step comes when it does, where that is not plain."""
    few = len(step.stands) < PLAIN
    plain = len(step.stands) == 1 or step.carried or step.ranked < CLOSES or (step.ranked == CLOSES and few)
    grooves = {work.join.tradition.kind for work in step.work if work.join.tradition} - {"rabbet"}
    plain = plain or (step.ranked == SLIDES_IN and not grooves)
    return [] if plain else [("Why now", WHY[step.ranked])]


def mind(step: Step) -> list[tuple[str, str]]:
    """What is awkward about a step."""
    told = [("Mind", cost.what) for cost in dict.fromkeys(step.costs) if cost.amount >= WARNED]
    if step.help is None:
        return told
    if step.help.how == "sprung":
        told.append(("Mind", "bend it, or tilt it, into its shallow joints: try it dry first"))
    join = step.help.join
    if join is not None and join.tradition is not None:
        a, b = visible(join.part_a.name), visible(join.part_b.name)
        told.append(
            (
                "Notch",
                f"the {join.tradition.kind} of {a} in {b}, through to its end, or the corner of {a} that it stops",
            )
        )
    return told


def comes(step: Step) -> list[tuple[str, str]]:
    """How parts come in, where a joint or the wood around leaves little choice; a plain butt is not told."""
    if step.way is None:
        return []
    tilted = step.help is not None and step.help.how == "tilted"
    plain = not tilted and all(
        work.join.tradition is None or not work.join.tradition.inset for work in step.work
    )
    if plain and step.way.first is None and not any(_pegged(work) for work in step.work):
        return []
    # Where the work is set on a part, it is the work that moves.
    last, first = (way and scaled(way, -1.0 if step.carried else 1.0) for way in step.way)
    assert last is not None
    words = _from(last, step.down)
    if tilted:
        return [("Comes", f"{words}, one end up, and is let down level inside")]
    return [("Comes", words if first is None else f"first {_from(first, step.down)}, then {words}")]


def _pegged(work: JoinWork) -> bool:
    return work.join.tradition is not None and work.join.tradition.kind in {
        "dowels",
        "biscuits",
        "loose spline",
    }


def _from(way: Vector, down: Side) -> str:
    """Where it comes from as the work lies, by the way in which it goes."""
    for side in Side:
        if way[side.axis] * side.sign < -0.99:
            if side.axis is down.axis:
                return "down from above" if side is not down else "up from below"
            return f"level, from the {side.value} of the piece"
    return "aslant, square to its joint"
