"""Screws that rust: plain steel in treated wood, outdoors, and in wood that it stains."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.rulebook.figure_tables import figures


class Rusting(NamedTuple):
    """Joints whose screws do not last: ``why`` is ``treated``, ``tannin`` or ``outdoors``, by the wood of ``parts``."""

    why: str
    parts: tuple[Part, ...]
    joins: tuple[Join, ...]
    metal: str | None


def corrosion(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Screws of a metal that does not last where the plan says the wood is: treated, or outdoors."""
    plan, found = piece.plan, dict[str, tuple[list[Part], list[Join]]]()
    if not any(part.exterior or part.stock.material.treated for part in plan.parts):
        return
    for join in plan.joins:
        if not (join.pockets or join.driven):
            continue
        outdoors = any(part.exterior for part in join.parts)
        whys = {part.name: _why(part, outdoors) for part in join.parts}
        why = next((each for each in ("treated", "tannin", "outdoors") if each in whys.values()), "")
        if why and plan.screw_metal not in figures("rust")[why]["lasts"]:
            parts, joins = found.setdefault(why, ([], []))
            joins.append(join)
            parts += [part for part in join.parts if whys[part.name] == why and part not in parts]
    for why, (parts, joins) in found.items():
        yield rule.finding(
            fact=Rusting(why, tuple(parts), tuple(joins), plan.screw_metal),
            kind=why,
            span=(joins[0].pockets or joins[0].fastenings)[0].span,
            parts=[part.name for part in parts],
            basis=f"published source: {figures('rust')[why]['title']}",
        )


def _why(part: Part, outdoors: bool) -> str:
    material = part.stock.material
    if material.treated == "preservative" or (material.treated and outdoors):
        return "treated"
    if not outdoors:
        return ""
    return "tannin" if material.stands_for in figures("rust")["tannin"]["woods"] else "outdoors"
