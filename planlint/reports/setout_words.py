"""What is cut into a part once it has its size, in words to set it out by: ends, cut-outs, and what joints ask for."""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from planlint.language.joint_table import JOINTS, Form
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Part, Size, Trim
from planlint.reports.safe_words import count, visible
from planlint.sheet.arc_shapes import ArcShape, arch_shape, bow_shape
from planlint.sheet.cut_list import CutOut, CutPart, EndSetting, cut_out, cut_outs
from planlint.sheet.joint_setouts import SPLINE_DEEP, Shaped, shoulders, usual_count
from planlint.text.grouping import grouped
from planlint.text.measures import by_rule, degrees, length, listed, stations_told, to_sixteenth

THIRD = "how thick the plan does not say: a third of the part is common"
_WHOLE = "how thick the plan does not say: stuff this thin commonly goes in whole"
_THIN = Fraction(3, 8)
"""Inches: what is no thicker goes whole into its groove. Basis: common practice, as of drawer bottoms and panels."""


def works(part: CutPart, unit: str, image: int | None = None) -> Iterator[str]:
    """All that is cut into a part, each in words; ``image`` is the number of the row that it is the mirror image of."""
    if image is not None:
        yield f"mirror image of No. {image}"
    if part.count > 1 and part.worked:
        yield f"as {visible(part.names[0])} lies"
    for what, its_sides in (("end", part.first.ends), ("edge", part.first.edges)):
        cuts = [end for end in part.ends if end.end in its_sides]
        if len({end[1:] for end in cuts}) == 1 and len({end.end for end in cuts}) == 2:
            yield _end(f"both {what}s", cuts[0])
        else:
            for end in cuts:
                yield _end(f"{end.end.value} {what}", end)
    for cut in part.cut_outs:
        yield _cut_out(cut, part.first, unit)
    yield from trim_words(part.first, unit)
    yield from _joint_words(part.first, part.shaped, unit)
    if part.first.taped:
        yield f"veneer tape on the {listed([side.value for side in Side if side in part.first.taped])}"


_Room = tuple[Size, Size]
"""From which corner to which."""
_HOLES = {"dowels": "dowel hole", "biscuits": "biscuit slot"}


def _end(which: str, end: EndSetting) -> str:
    how = "blade tilted" if end.tilted else "fence turned"
    return f"{which} {degrees(end.angle)}, {how}, long at {end.long_at.value}"


def _cut_out(cut: CutOut, part: Part, unit: str) -> str:
    at = (
        f"at the {cut.measured.value}"
        if not cut.away
        else f"{by_rule(cut.away, unit)} from {cut.measured.value}"
    )
    if cut.kind == "hole":
        whole, near, side = part.size[cut.runs], (cut.start + cut.stop) / 2, side_of(cut.runs, -1)
        if near > whole - near:
            near, side = whole - near, side.opposite
        deep = "right through" if cut.through else f"{by_rule(cut.deep, unit)} deep in"
        other = f"{by_rule(cut.away + cut.wide / 2, unit)} from {cut.measured.value}"
        return (
            f"hole {by_rule(cut.wide, unit)} wide, {deep} the {cut.face.value}, its middle {other} and "
            f"{by_rule(near, unit)} from {side.value}"
        )
    if cut.kind == "arch":
        return f"arch {_arc_words(arch_shape(cut), part, unit)}{'' if cut.points else _run(cut, part, unit)}"
    wide = f"{cut.kind} {by_rule(cut.wide, unit)} wide, {_deep(cut, unit)}"
    if cut.kind == "slot":
        wide += ", its ends round,"
    return f"{wide} in the {cut.face.value}, {at}{_run(cut, part, unit)}"


def shape_words(part: Part, shaped: Iterable[Shaped], unit: str) -> Iterator[str]:
    """What is cut out of a part, tapered, chamfered, and shaped for joints; of what its drawing sets out, how wide and
    how deep, once."""
    told = dict.fromkeys(
        _cut_out(cut, part, unit)
        if cut.kind in {"hole", "slot", "arch"}
        else f"{cut.kind} {by_rule(cut.wide, unit)} wide, {_deep(cut, unit)} in the {cut.face.value}"
        for cut in cut_outs(part)
    )
    yield from told
    yield from trim_words(part, unit)
    yield from _joint_words(part, shaped, unit)


def trim_words(part: Part, unit: str) -> Iterator[str]:
    """Tapers, chamfers, rounded corners and bows; corners that are treated alike told once."""
    corners: dict[str, list[str]] = {}
    for trim in part.trims:
        told = _trim(trim, part, unit)
        if trim.kind in {"taper", "bow"}:
            yield told
        else:
            corners.setdefault(told, []).append(" ".join(side.value for side in trim.sides))
    for told, places_ in corners.items():
        yield f"{told} at the {listed(places_)}"


def _trim(trim: Trim, part: Part, unit: str) -> str:
    sides, sizes = [side.value for side in trim.sides], [by_rule(size, unit) for size in trim.sizes]
    if trim.kind == "taper":
        assert trim.at is not None
        along = (
            f", starting {sizes[1]} from {trim.at.opposite.value}" if trim.sizes[1] else ", its whole length"
        )
        return f"taper on the {listed(sides)} to {sizes[0]} at the {trim.at.value}{along}"
    if trim.kind == "chamfer":
        told = f"{sizes[0]} from {sides[0]} by {sizes[1]} from {sides[1]}" if len(sizes) > 1 else sizes[0]
        return f"chamfer {told}"
    if trim.kind == "rounding":
        return f"rounded, {sizes[0]} radius,"
    return f"bow {_arc_words(bow_shape(part, trim), part, unit)}"


def _arc_words(arc: ArcShape, part: Part, unit: str) -> str:
    """How deep an arc goes, or the points that it runs through, for a lath to be bent along; its radius."""
    side, radius = arc.side, f"{to_sixteenth(arc.radius, unit)} radius"
    if not arc.points:
        along = "along" if arc.swells else "in"
        return f"{by_rule(arc.deep, unit)} deep {along} the {side.value}, {radius}"
    told = [
        f"{by_rule(part.inside(side, at, at), unit)} deep at {by_rule(at[arc.run], unit)}"
        for at in arc.points
    ]
    return f"along the {side.value}, through {listed(told)} from {side_of(arc.run, -1).value}, {radius}"


def _deep(cut: CutOut, unit: str) -> str:
    return "right through" if cut.through else f"{by_rule(cut.deep, unit)} deep"


def _run(cut: CutOut, part: Part, unit: str) -> str:
    """From where to where it runs, from the nearer side of the part."""
    if cut.whole:
        return ""
    whole = part.size[cut.runs]
    low, high = cut.start, cut.stop
    side = side_of(cut.runs, -1)
    if whole - high < low:
        low, high, side = whole - high, whole - low, side_of(cut.runs, 1)
    if not low:
        return f", the first {by_rule(high, unit)} from {side.value}"
    return f", {_stretch(low, high, side, unit)}"


def _stretch(low: Fraction, high: Fraction, side: Side, unit: str) -> str:
    return f"from {by_rule(low, unit)} to {by_rule(high, unit)} from {side.value}"


# ---------------------------------------------------------------- joints


def _joint_words(part: Part, every: Iterable[Shaped], unit: str) -> Iterator[str]:
    """What joints shape of a part; sides that are shaped alike told together."""
    for alike in grouped((_shape(shaped, part, unit, ""), shaped) for shaped in every).values():
        sides = dict.fromkeys(_set_out_at(shaped, part).value for shaped in alike)
        yield _shape(alike[0], part, unit, listed(list(sides)))


def _shape(shaped: Shaped, part: Part, unit: str, at: str) -> str:
    """What a joint shapes ``at`` some sides."""
    if shaped.low is None or shaped.high is None:
        return _unsettled(shaped, unit, at)
    room = shaped.low, shaped.high
    if shaped.stays:
        return _tongue(shaped, part, room, unit, at)
    if shaped.form is Form.FINGERS:
        return _fingers(shaped, part, room, unit, at)
    if shaped.form is Form.LOOSE:
        return _holes(shaped, part, room, unit, at)
    return _hollow(shaped, part, room, unit)


def _unsettled(shaped: Shaped, unit: str, at: str) -> str:
    """What is known of a joint whose parts the plan does not place, or turns against one another."""
    known = ", ".join(f"{by_rule(size, unit)} {what}" for what, size in shaped.measures)
    return f"{shaped.makes} at the {at}{known and f', {known}'}: mark it from the part that meets it there"


def _haunch(shaped: Shaped, part: Part) -> Iterator[str]:
    if "haunched" not in shaped.words:
        return
    at = "" if shaped.haunch is None else f" at the {shaped.haunch.value}"
    if _reaches(shaped, part):
        yield (
            f"shallower{at}, for the haunch"
            if shaped.lets_in
            else f"haunched{at}, how long and how wide the plan does not say: a third of the tenon each way is common"
        )
    elif shaped.lets_in:
        yield (
            f"and on, shallower, to the {shaped.haunch.value} for the haunch"
            if shaped.haunch
            else "and for the haunch"
        )
    else:
        yield f"haunched{at}, how long the plan does not say: a third of the tenon is common"


def _reaches(shaped: Shaped, part: Part) -> bool:
    """Whether tenon or mortise goes on to the side of the haunch: the plan does not say where the haunch begins."""
    side = shaped.haunch
    if side is None or shaped.low is None or shaped.high is None:
        return False
    return not part.inside(side, shaped.low, shaped.high)


def _tongue(shaped: Shaped, part: Part, room: _Room, unit: str, at: str) -> str:
    (low, high), axis = room, shaped.side.axis
    sizes = [f"{by_rule(high[axis] - low[axis], unit)} long"]
    across = [each for each in (part.facing.axis, part.across, part.grain) if each is not axis]
    for word, each in zip(("thick", "wide"), across, strict=True):
        sizes.append(f"{by_rule(high[each] - low[each], unit)} {word}")
    if "thick" not in shaped.said:
        del sizes[1]
    how = next((f"{word} " for word in ("stub", "through") if word in shaped.words), "")
    told = [f"{how}{shaped.makes} at the {at} {', '.join(sizes)}"]
    told.append(_shoulders(shoulders(shaped, part), unit, silent="thick" not in shaped.said, part=part))
    if "thick" not in shaped.said and shaped.makes != "cope":
        told.append(_WHOLE if shaped.makes == "tongue" and part.thickness <= _THIN else THIRD)
    if shaped.makes == "dovetailed tongue":
        told.append("that thick at its wide end, sloped by the cutter that also cuts the slot")
    if "through" in shaped.words:
        told.append("it goes right through")
    told += _haunch(shaped, part)
    return ", ".join(each for each in told if each)


def _shoulders(found: dict[Side, Fraction], unit: str, *, silent: bool, part: Part) -> str:
    """``shoulders 3/16 in at the front and back, none at the top and bottom``."""
    told_of = (side for side in found if not (silent and side.axis is part.facing.axis))
    by_size = grouped((found[side], side.value) for side in told_of)
    told = [
        f"{by_rule(size, unit) if size else 'none'} at the {listed(sides)}" for size, sides in by_size.items()
    ]
    return f"shoulders {', '.join(told)}" if told else ""


def _hollow(shaped: Shaped, part: Part, room: _Room, unit: str) -> str:
    """A mortise, a groove, a lap: what is cut out."""
    cut = cut_out(part, shaped.makes, *room, shaped.side if shaped.form is not Form.LAP else None)
    silent = "thick" not in shaped.said and shaped.makes in {"mortise", "groove", "stuck groove", "open slot"}
    if silent:
        middle = by_rule(cut.away + cut.wide / 2, unit)
        told = f"{cut.kind} {_deep(cut, unit)} in the {cut.face.value}, as wide as what goes in, its middle {middle} "
        told += f"from {cut.measured.value}{_run(cut, part, unit)}"
    else:
        told = _cut_out(cut, part, unit)
    if shaped.makes == "dovetailed slot":
        told += ", its sides sloped by the cutter that also cuts the tongue"
    if shaped.kind == "half lap" and not shaped.measures:
        told += ", half of what the two share, for the plan does not say how much"
    return ", ".join([told, *_haunch(shaped, part)])


def _fingers(shaped: Shaped, part: Part, room: _Room, unit: str, at: str) -> str:
    """Tails, pins or fingers: how far down they are scribed, and what is usual where the plan is silent."""
    (low, high), ends = room, _set_out_at(shaped, part)
    axis = ends.axis
    scribed = high[axis] if ends.sign < 0 else part.size[axis] - low[axis]
    wide = high[part.across] - low[part.across]
    told = [f"{shaped.makes} at the {at}, scribed {by_rule(scribed, unit)} from the end"]
    if shaped.makes == "half-blind pins":
        into = high[shaped.side.axis] - low[shaped.side.axis]
        told.append(f"sockets {by_rule(into, unit)} deep into the {shaped.side.value}")
    many = usual_count(shaped.makes, wide, shaped.said)
    if shaped.makes == "tails":
        steep = 8 if part.stock.material.kind == "hardwood" else 6
        told.append(
            f"how many the plan does not say: such as {many}, {by_rule(wide / many, unit)} from middle to middle, half "
            f"a pin at each edge, 1 in {steep} steep"
        )
    elif shaped.makes == "fingers":
        finger = shaped.said.get("wide")
        told.append(
            f"{many} fingers and gaps of {by_rule(finger, unit)} over {by_rule(wide, unit)}, a gap against each finger"
            if finger
            else "how wide the plan does not say: as wide as the thinner part is thick is common"
        )
    else:
        told.append("marked from the tails")
    return ", ".join(told)


def _set_out_at(shaped: Shaped, part: Part) -> Side:
    """The side that a joint is told at: of tails and the like the end that they are at."""
    at_end = shaped.form is Form.FINGERS and not part.is_end(shaped.side)
    if not at_end or shaped.low is None or shaped.high is None:
        return shaped.side
    return part.nearer(part.grain, shaped.low, shaped.high)


def _holes(shaped: Shaped, part: Part, room: _Room, unit: str, at: str) -> str:
    """Holes for dowels, slots for biscuits, grooves for splines: along the middle of where the two sides meet."""
    (low, high), said = room, shaped.said
    one, other = (axis for axis in Axis if axis is not shaped.side.axis)
    along, over = (one, other) if high[one] - low[one] >= high[other] - low[other] else (other, one)
    beside, begin = part.nearer(over, low, high), part.nearer(along, low, high)
    middle = part.inside(beside, low, high) + (high[over] - low[over]) / 2
    line = f"{by_rule(middle, unit)} from {beside.value}"
    start, run = part.inside(begin, low, high), high[along] - low[along]
    if JOINTS[shaped.kind].splined:
        wide = said.get("thick")
        deep = said.get("deep") or (said["wide"] * SPLINE_DEEP if "wide" in said else None)
        told = [
            f"spline groove in the {at}",
            f"{by_rule(wide, unit)} wide" if wide else THIRD,
            f"{by_rule(deep, unit)} deep" if deep else "how deep the plan does not say",
            f"its middle {line}",
        ]
        whole = run == part.size[along]
        return ", ".join(told + ([] if whole else [_stretch(start, start + run, begin, unit)]))
    if shaped.at:
        if len({point[over] for point in shaped.at}) > 1:  # The row runs the shorter way.
            along, over, begin, beside = over, along, beside, begin
            line = f"{length(part.inside(beside, shaped.at[0], shaped.at[0]), unit)} from {beside.value}"
        begin = shaped.origin or begin
        set_out = sorted(float(part.inside(begin, point, point)) for point in shaped.at)
        made = count(len(set_out), _HOLES[shaped.kind])
        told = [f"{made} in the {at}", *_bored(shaped, part, unit), f"on a line {line}"]
        return ", ".join([*told, f"at {stations_told(set_out, unit)} from {begin.value}"])
    many = usual_count(shaped.makes, run, said)
    marks = [float(start + run * (2 * n + 1) / (2 * many)) for n in range(many)]
    told = [f"{shaped.makes} in the {at}", *_bored(shaped, part, unit), f"on a line {line}"]
    told.append(
        f"how many the plan does not say: such as {many}, at {stations_told(marks, unit)} from {begin.value}"
    )
    return ", ".join(told)


def _bored(shaped: Shaped, part: Part, unit: str) -> Iterable[str]:
    """How wide and how deep a hole is: a little deeper than what goes in."""
    said = shaped.said
    if shaped.kind == "dowels":
        yield f"{length(said['thick'], unit)} across" if "thick" in said else THIRD
    deep, all_of_it = shaped.bored, part.size[shaped.side.axis]
    if deep is None:
        yield "how deep the plan does not say" if shaped.kind == "dowels" else "as deep as the biscuits ask"
    elif shaped.takes is None:
        yield f"{length(deep, unit) if 'deep' in said else to_sixteenth(deep, unit)} deep"
    elif deep < all_of_it and (more := 2 * deep - shaped.takes) < all_of_it:
        thin = length(shaped.takes, unit)
        yield f"more than {to_sixteenth(more, unit)} deep, for the other part is only {thin} thick there"
    else:
        fits = 2 * deep < all_of_it + shaped.takes
        then = "as much deeper in the other part" if fits else "shorter ones are needed"
        yield f"less than {length(all_of_it, unit)} deep, which is all the wood there: {then}"
