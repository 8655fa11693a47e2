"""Joins once all are read: those that mirror images take along, and what each is called."""

from collections import Counter
from dataclasses import replace

from planlint.language.syntax_tree import Statement
from planlint.model.directions import Axis, Side, flipped
from planlint.model.elaboration_state import Workings
from planlint.model.join_statements import Waiting, mirrored_join
from planlint.model.like_parts import are_twins
from planlint.model.mistake_log import Refusal
from planlint.model.plan import Join, Part
from planlint.model.provenance import JoinSaid

# ---------------------------------------------------------------- joins taken along by mirror images


def taken_along(workings: Workings, waiting: list[Waiting]) -> list[Waiting]:
    """The joins of parts whose mirror images take them along; a join of two such parts is taken along once.

    What is mirrored both ways is taken along one way first, and all that there is then the other way. A join that the
    plan tells itself goes before one that an image would bring to the same sides, and has no images of its own: those
    of the other are there.
    """
    ways: dict[Axis, dict[str, str]] = {}
    for source, twin, axis in workings.twins:
        ways.setdefault(axis, {})[source] = twin
    made: list[tuple[Waiting, Waiting]] = []
    while ways:
        ready = [axis for axis, twins in ways.items() if not _made_otherwise(twins, ways, axis)]
        axis = (ready or list(ways))[0]
        twins = ways.pop(axis)
        across = {twin: source for source, twin in twins.items()} | twins
        for each, told in [*((each, each) for each in waiting), *made]:
            both = each.join.part_a.name, each.join.part_b.name
            named = [name for name in both if name in twins]
            if not named or twins[named[0]] in both:  # What joins a part to its own image is its own image.
                continue
            flips = frozenset({axis})
            image = mirrored_join(
                each.join,
                flips,
                lambda part: workings.parts[across.get(part.name, part.name)],  # noqa: B023
            )
            said = each.said._replace(mirrored=(*each.said.mirrored, (named[0], axis)))
            own = None if each.own_name is None else f"{each.own_name}_mirrored"
            made.append((Waiting(said, own, image), told))
    by_hand = {_sides(each): each for each in waiting}
    images = [
        (image, told, by_hand.get(_sides(image)) if image.own_name is None else None) for image, told in made
    ]
    instead = {id(hand) for _, told, hand in images if hand is not None and hand is not told}
    return [image for image, told, hand in images if hand is None and id(told) not in instead]


def _sides(waiting: Waiting) -> frozenset[tuple[str, Side]]:
    """The two sides that meet, whichever of them is told first."""
    return frozenset((part.name, side) for part, side in waiting.join.sides)


def _made_otherwise(twins: dict[str, str], ways: dict[Axis, dict[str, str]], axis: Axis) -> bool:
    """Whether some part that is mirrored this way is itself made in the mirror, another way."""
    return any(
        source in others.values() for other, others in ways.items() if other is not axis for source in twins
    )


# ---------------------------------------------------------------- names


def name_joins(workings: Workings, waiting: list[Waiting]) -> tuple[tuple[Join, ...], tuple[JoinSaid, ...]]:
    """Gives every join its name: its own, or ``a.side``, or ``a.side/b.side`` where that is not unique.

    The joins of an earlier statement keep the name that they have without the later ones. Beside the joins, in their
    order, where each is said.
    """
    own = {each.own_name for each in waiting if each.own_name is not None}
    short = [each.join.called[1] for each in waiting]
    alike = Counter(zip(short, (id(each.said.statement) for each in waiting), strict=True))
    first: dict[str, Statement] = {}
    lines: dict[object, Statement] = {}
    joins: list[Join] = []
    said: list[JoinSaid] = []
    told: set[int] = set()
    for each, name in zip(waiting, short, strict=True):
        statement, own_name = each.said.statement, each.own_name
        sides = each.join.called[2]
        key = own_name or _sides(each)
        if key in lines:
            if id(statement) not in told:
                meant = "" if own_name is not None else _meant(workings, waiting, each)
                _report_twice(
                    workings, each.said, own_name or sides, lines[key], meant, own=own_name is not None
                )
            told.add(id(statement))
            continue
        lines[key] = statement
        if own_name is not None:
            name = own_name  # noqa: PLW2901
        elif (
            name in own
            or alike[name, id(statement)] > 1
            or first.setdefault(name, statement) is not statement
        ):
            first.setdefault(name, statement)
            name = sides  # noqa: PLW2901
        said.append(each.said)
        joins.append(replace(each.join, name=name, index=len(joins)))
    return tuple(joins), tuple(said)


def _meant(workings: Workings, waiting: list[Waiting], twice: Waiting) -> str:
    """A join that is told nowhere and differs from one told twice by the other end of A, or by the name of a twin: a
    line copied, and its names left as they were. Told as a line of its unit has to say it."""
    said, joined = twice.said, {_sides(each) for each in waiting}
    names, unit = (said.line.a.part, said.line.b.part), said.scope.prefix
    if said.mirrored or None in names:
        return ""
    here = [each for each in workings.parts.values() if each.name.startswith(unit)]

    def written(part: Part, side: Side) -> str:
        return f"{part.name.removeprefix(unit)}.{flipped(side, said.flips).value}"

    (a, end), (b, facing) = twice.join.sides
    if a.is_end(end) and all((a.name, end.opposite) not in sides for sides in joined):
        for twin in sorted(here, key=lambda each: abs(each.index - b.index)):
            if are_twins(twin, b):
                ends = f"{written(a, end.opposite)} to {written(twin, facing.opposite)}"
                return f"if its other end is meant, write `{ends}`; else say all of it there"
    for (part, side), other in zip(twice.join.sides, twice.join.sides[::-1], strict=True):
        twins = (each for each in here if are_twins(each, part) and each is not other[0])
        for twin in sorted(twins, key=lambda each: abs(each.index - part.index)):
            if frozenset({(twin.name, side), (other[0].name, other[1])}) not in joined:
                name, meant, now = twin.name.removeprefix(unit), written(twin, side), written(part, side)
                return f"if {name} is meant, write `{meant}` for `{now}`; else say all of it there"
    return ""


def _report_twice(
    workings: Workings, said: JoinSaid, name: str, first: Statement, meant: str, own: bool
) -> None:
    statement, node = said.statement, said.line
    where = (
        f"on line {first.line}"
        if first is not statement
        else "by the same line"
        if said.place or said.mirrored
        else "in another turn of its loop"
    )
    if own and node.name is not None:
        says = f"a join is already called {name} {where}: give one of them another name"
        workings.log.refuse(statement, Refusal.at(node.name, says))
        return
    says = meant or (
        "say all of it there. Of several that are not quite alike, tell one, and each other as a join of its own "
        "`like` it, with what is otherwise under it"
    )
    says = f"{name.replace('/', ' is joined to ')} already {where}: {says}"
    workings.log.refuse(statement, Refusal.at(node.a, says, last=node.b))
