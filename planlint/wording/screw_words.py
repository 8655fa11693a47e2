"""The words for the screw in the wood that takes it, and for screws that rust."""

from planlint.checks.corrosion import Rusting
from planlint.checks.row_trial import behind, has_room, keeps_wood
from planlint.checks.row_view import Row
from planlint.checks.screw_hold import Grip, Tip, Unstocked, in_narrow_edge, screw_that_fits, wanted_covers
from planlint.findings.finding import Finding
from planlint.geometry.joint_facts import Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Side
from planlint.model.threads import suited_thread
from planlint.text.measures import degrees, length, listed, past, to_sixteenth
from planlint.wording.finding_text import Told, alternatives
from planlint.wording.row_words import screw_length, screw_name, setting_out


def short_grip(piece: Piece, found: Finding, fact: Grip) -> Told:
    row, screw, facing = fact
    says = f"The {row.length(screw.length)} screw of {row.joint}"
    if found.kind == "short":
        says += f" has only {row.length(found.measured or 0.0)} of thread in {row.into.name}: it pulls out."
    elif in_narrow_edge(row):
        says += (
            f" does not reach {row.into.name} at all: the pockets are in the "
            f"{row.length(float(row.part.thickness))} edge of {row.part.name}, so that it must go through "
            f"{to_sixteenth(screw.pocket.setback, row.unit)} of wood first."
        )
    else:
        says += f" does not reach {row.into.name} at all."
    full = piece.limits["short-grip", "thread for full value"] * screw.diameter
    return Told(
        says,
        [
            *(
                [f"Check how {row.part.name} faces: facing {facing.looks} all its pockets are in its faces."]
                if facing
                else _in_a_face(row)
            ),
            f"{_longer(row, screw)} (a joint that carries a load wants "
            f"{to_sixteenth(full, row.unit)} of thread or more).",
        ],
    )


def _in_a_face(row: Row) -> list[str]:
    """The faces to drill instead of a narrow edge, where the joint can be drilled from them."""
    part = row.part
    if not in_narrow_edge(row) or part.is_face(row.side):
        return []
    through = row.piece.settings.profile.setback(float(part.thickness))
    return [
        f"Drill the pockets in the {part.facing.value} or {part.facing.opposite.value} of {part.name}, its faces: "
        f"there the screw goes through only {to_sixteenth(through, row.unit)} of wood."
    ]


def _longer(row: Row, screw: Screw) -> str:
    better = screw_that_fits(row, screw.pocket, wanted_covers(row.piece))
    if better is not None:
        return f"Use {screw_name(row, better)} screws"
    if _in_a_face(row):
        return f"No length kept in the shop both holds from that edge and stays inside {row.into.name}"
    return (
        f"No length kept in the shop both holds and stays inside {row.into.name}: use thicker stock for it, "
        f"or glue the joint in a groove or rabbet"
    )


def tip_through(_piece: Piece, found: Finding, fact: Tip) -> Told:
    row, where = (
        fact.row,
        f"the {fact.at.value if isinstance(fact.at, Side) else fact.at} of {fact.row.into.name}",
    )
    said = {
        "near": f"stops {row.length(fact.cover)} short of {where}",
        "into-a-cut": f"runs into {where}",
        "comes-out": f"comes out at {where} by {past(-fact.cover, row.unit)}",
    }[found.kind]
    pocket = fact.screw.pocket
    if fact.beside:
        said = f"{setting_out(row, [pocket.station])} goes past {where}, where no wood takes it"
    return Told(
        f"The {row.length(fact.screw.length)} screw of {row.joint} {said}.", _inside(found, fact, where)
    )


def _inside(found: Finding, fact: Tip, where: str) -> list[str]:
    row, (stations, screw, aside) = fact.row, fact.ways
    ways = []
    if stations is not None:
        out = setting_out(row, stations)
        ways.append(f"Set the pockets of {row.joint} out at {out}: there the screws stay inside.")
    if screw is not None:
        ways.append(f"Use {screw_name(row, screw)} screws.")
    if aside is not None:
        toward = f"toward its {aside.toward.value}, away from {where}"
        ways.append(f"Move {row.part.name} {row.length(aside.by)} {toward}.")
    return alternatives(ways) or [
        f"No length kept in the shop leaves {row.length(found.limit or 0.0)} of wood and still holds: use thicker "
        f"stock for {row.into.name}, or meet it where it is thicker."
    ]


def thread_mismatch(piece: Piece, found: Finding, row: Row) -> Told:
    said, material = row.join.screws, row.into.stock.material
    assert said is not None
    if found.kind == "wants-fine":
        why = "a coarse thread splits hard wood, or shears off in it"
    else:
        why = f"a fine thread strips {'soft wood' if material.solid else 'a panel'}"
    inches = None if said.length is None else float(said.length)
    better = row.screw(row.pockets[0], inches, suited_thread(material, piece.limits))
    return Told(
        f"The {said.thread} screws of {row.joint} bite in {row.into.name}, which is {material.name}: {why}.",
        [f"Use {screw_name(row, better)} screws, No. {better.gauge}."],
    )


def into_end_grain(piece: Piece, found: Finding, row: Row) -> Told:
    into = row.into.name
    if found.kind == "end-grain":
        says = (
            f"The screws of {row.joint} run into the end grain of {into}, {degrees(found.measured or 0.0)} from its "
            "fibres: they hold little there and work loose."
        )
    else:
        material = row.into.stock.material.name
        says = f"The screws of {row.joint} run into the edge of {into}, which is {material}: they part its layers."
    return Told(says, [_other_way(row, piece.limits["into-end-grain", "angle to the grain"])])


def _other_way(row: Row, limit: float) -> str:
    """Which face or part to drill instead, where that puts the thread ``limit`` degrees or more across the grain."""
    part, into = row.part, row.into
    other, piece = behind(row), row.piece
    if (
        into.stock.material.solid
        and keeps_wood(row, other)
        and piece.grain_angle(row.screw(other[0], None)) >= limit
        and has_room(row, other, ())
    ):
        face = row.asked.face.opposite.value
        return f"Drill the pockets in the {face} of {part.name}: there the screws cross the grain of {into.name}."
    grain = row.piece.body(part).grain
    across_grain = abs(dot(grain, row.pockets[0].direction)) < 0.5 if part.stock.material.solid else False
    if across_grain or (not part.stock.material.solid and part.is_face(row.side)):
        what = "side grain" if part.stock.material.solid else "face"
        return f"Drill {into.name} instead, so that the screws run into the {what} of {part.name}."
    return (
        f"Neither part takes a screw well here: join {part.name} and {into.name} with a spline, dowels or a lap, or "
        "screw both to a block behind."
    )


def unstocked_screw(piece: Piece, found: Finding, fact: Unstocked) -> Told:
    unit, (a, b) = piece.plan.unit, fact.join.parts
    return Told(
        f"{a.name} to {b.name} asks for {length(found.measured or 0.0, unit)} screws, which the shop does not keep.",
        [
            f"Use {screw_length(fact.kept, unit)} screws, which the shop keeps."
            if fact.kept is not None
            else "No length kept in the shop both holds and stays inside the wood here: use thicker stock, drill "
            "the other part, or glue the joint without screws."
        ],
    )


def corrosion(_piece: Piece, _found: Finding, fact: Rusting) -> Told:
    kinds = {each.kind for join in fact.joins for each in join.fastenings if each.driven}
    what = "screws" if kinds <= {"screws"} else "fasteners"
    screws = f"{what} that are {fact.metal}" if fact.metal else f"plain {what}"
    woods = listed(list(dict.fromkeys(part.stock.material.name for part in fact.parts)), 3)
    joints = f"{len(fact.joins)} joint{'s' if len(fact.joins) > 1 else ''}"
    where = f"{listed([part.name for part in fact.parts], 4)} ({woods}), at {joints}"
    if fact.why == "treated":
        return Told(
            f"{screws.capitalize()} go into treated wood, {where}: its preservative eats steel and plated zinc.",
            [
                f"Use stainless or hot-dip galvanized {what}, and say so under `plan`: `screws stainless`.",
                "Follow the maker of the wood, and local codes where they ask for more.",
            ],
        )
    stains = (
        "steel turns the wood blue-black where it gets wet, and rusts"
        if fact.why == "tannin"
        else ("steel rusts in the weather, and weakens the wood round it")
    )
    return Told(
        f"{screws.capitalize()} stand outdoors in {where}: {stains}.",
        [
            f"Use stainless {what}, or {what} coated for use outdoors, and say so under `plan`: `screws stainless`."
        ],
    )
