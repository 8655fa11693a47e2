"""Which sheets a call asks for: the piece, a view, a part, a joint, a finding, a step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from planlint.drawings.ink import Sheet
from planlint.drawings.part_sheets import part_sheets
from planlint.drawings.piece_sheets import overview, view_sheet
from planlint.drawings.viewpoints import VIEWS
from planlint.geometry.piece import Piece
from planlint.inspection.inspection_result import Inspection
from planlint.model.nearest_name import nearest


class NotInPlan(Exception):  # noqa: N818 - a refusal with its reason
    """What a call wants drawn is not there; the message says what is."""


@dataclass(frozen=True)
class Wanted:
    """What a call wants drawn; nothing said is the piece."""

    view: str | None = None
    part: str | None = None
    joint: str | None = None
    finding: str | None = None
    step: int | None = None


def sheets_for(inspection: Inspection, wanted: Wanted) -> Iterator[Sheet]:
    """The sheets of one call. Raises ``NotInPlan``."""
    piece = inspection.piece
    assert piece is not None
    if not piece.plan.parts:
        raise NotInPlan("the plan has no parts to draw")
    said = False
    if wanted.part is not None:
        said = True
        part = piece.plan.part_by_name.get(wanted.part)
        if part is None:
            raise NotInPlan(_no_such("part", wanted.part, piece.plan.part_by_name))
        yield from part_sheets(piece, part)
    if wanted.view is not None or not said:
        yield from _of_piece(piece, wanted.view)


def _of_piece(piece: Piece, view: str | None) -> Iterator[Sheet]:
    if view is None:
        yield overview(piece)
        return
    if view not in VIEWS:
        raise NotInPlan(_no_such("view", view, VIEWS))
    yield from view_sheet(piece, view)


def _no_such(what: str, name: str, known: Iterable[str]) -> str:
    names = list(known)
    near = nearest(name, names)
    hint = (
        f"the nearest is {near}"
        if near
        else f"there are {', '.join(names[:8])}{' …' if len(names) > 8 else ''}"
    )
    return f"there is no {what} {name[:60]!r}; {hint}"
