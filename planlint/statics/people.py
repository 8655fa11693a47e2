"""People on a piece: they sit, stand or kneel in one place, and that is looked for where it tells most."""

import re
from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import scaled
from planlint.model.plan import Load
from planlint.statics.carried_loads import UPRIGHT, Standing, pounds_of
from planlint.statics.solved_loads import Force

LEAST = 100
"""Pounds on a low part that are taken for people. Basis: own judgement, half of one heavy person."""
HIGHEST_SEAT = 24
"""Inches above the floor up to which people sit or lie. Basis: own judgement; a usual seat is 16 to 18 in high."""
ROOM = 24.0
"""Inches over a seat within which nothing is where people sit. Basis: own judgement; on a shelf things lie."""
_BORNE = re.compile(r"(?:^|_)(?:seat|step|tread|rung)s?(?:_|\d|$)")
"""The names of parts that bear people wherever they are."""
HEAVY_PERSON = 250.0
"""Pounds of one person: what is heavier takes up more. Basis: own judgement."""
WIDE = 16.0
"""Inches of a part that one takes up. Basis: own judgement. Half of the weight at each of two places half as far apart
bends a part in the middle of its span as the whole does spread over all of them."""
_APART = 16.0
"""Inches by which people move at most from one place that is looked at to the next, but for long parts."""
_MOST_PLACES = 5


def bears_people(piece: Piece, load: Load) -> bool:
    """Whether a load is of people; a load per foot is of things, which stay."""
    part, body = load.part, piece.body(load.part)
    if load.towards is not None or load.per_foot or load.pounds < LEAST or abs(body.grain[2]) >= UPRIGHT:
        return False
    if _BORNE.search(part.name):
        return True
    (x, y, _), top = body.middle, body.bounds.high[2]
    hung = min((float(each.bottom_height) for each in piece.plan.parts if each.bottom_height), default=0.0)
    return top - piece.bounds.low[2] + hung <= HIGHEST_SEAT and not any(
        low[0] < x < high[0] and low[1] < y < high[1] and top - 0.01 <= low[2] < top + ROOM
        for low, high in (other.bounds for other in piece.bodies)
    )


@of_piece
def everywhere(piece: Piece, standing: Standing) -> tuple[Standing, ...]:
    """A unit under its loads as they are told; then with its people in each of some places, from the low ends of what
    bears them to the high ends, where they have room to move."""
    return standing, *(() if standing.solution.loose else _moved(piece, standing))


def _moved(piece: Piece, standing: Standing) -> Iterator[Standing]:
    rooms = [_room(standing, load) if bears_people(piece, load) else 0.0 for load in standing.loads]
    places = min(_MOST_PLACES, 1 + 2 * ceil(max(rooms) / _APART / 2)) if max(rooms) else 0
    for n in range(places):
        told = zip(standing.loads, standing.bears, rooms, strict=True)
        bears = tuple(force for each in told for force in _placed(standing, *each, n / (places - 1)))
        solution = standing.structure.solve((*standing.weights, *bears), standing.solution)
        yield replace(standing, bears=bears, solution=solution)


def _wide(load: Load) -> float:
    """Inches that its people take up."""
    return WIDE * max(1.0, pounds_of(load) / HEAVY_PERSON)


def _room(standing: Standing, load: Load) -> float:
    beam = standing.structure.beams[load.part.name]
    return 0.0 if beam.stiff else max(0.0, beam.length - _wide(load))


def _placed(standing: Standing, load: Load, even: Force, room: float, share: float) -> Iterator[Force]:
    if not room:
        yield even
        return
    beam, points = standing.structure.beams[load.part.name], 2 * ceil(pounds_of(load) / HEAVY_PERSON)
    for n in range(points):
        at = beam.at(room * share + _wide(load) * (n + 1 / 2) / points)
        yield Force(load.part, scaled(even.pounds, 1 / points), at)
