"""What must hold of every conversion, asked of solids that another kernel builds; and random traditional plans."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from difflib import unified_diff
from fractions import Fraction
from functools import lru_cache

from hypothesis import strategies as st
from manifold3d import Manifold, OpType

from planlint.conversion.conversion_result import Conversion, traditional
from planlint.conversion.convert_plan import convert
from planlint.conversion.drilling_trials import Trial
from planlint.conversion.lap_changes import find_laps
from planlint.conversion.plan_rewrite import rewritten
from planlint.conversion.same_piece import parts_moved
from planlint.conversion.size_changes import Change, Conflict, work_out
from planlint.conversion.statement_sites import Sites
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.inspection.inspection_result import Inspection
from planlint.model.plan import Part
from planlint.model.workshop import Settings
from planlint.text.sayings import Saying
from planlint.text.source import PlanText
from tests.solids import solid

ROUNDING = 1e-6
"""Cubic inches that rounding of the solids may leave."""
CHORDS = 0.1
"""Cubic inches by which a bow or an arch may differ that is told of a shorter board: it is built of chords, within
1/128 in, and told to 1/64 in."""


def converted(text: str, *joints: str) -> Conversion:
    """A plan's text converted, or only the joints named."""
    return convert(PlanText("test.plan", text), only=joints or None)


def worked_out(text: str, *joints: str) -> tuple[Sites, Piece, Change | Conflict]:
    """What a plan becomes if its joints are converted, or those named, before any way to drill them is tried."""
    plan, mistakes = understand(PlanText("test.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    piece, sites = Piece(plan, Settings()), Sites(plan)
    wanted = [join for join in plan.joins if traditional(join) and (not joints or join.name in joints)]
    assert wanted
    laps = find_laps(piece, wanted)
    assert not laps.refused
    return sites, piece, work_out(piece, sites, wanted, laps.laps)


def taken_back(text: str, *joints: str) -> Piece | str:
    """The piece that joints become, none of them drilled yet, each part as it was; or why that cannot be."""
    sites, piece, change = worked_out(text, *joints)
    if isinstance(change, Conflict):
        return Saying(change.why)
    new, mistakes = understand(rewritten(sites, change, {}, piece.placement), Settings())
    assert new is not None and not mistakes, mistakes
    after = Piece(new, Settings())
    assert not list(parts_moved(piece, after, change))
    return after


def solids(piece: Piece) -> dict[str, Manifold]:
    """Every part of a piece in its place."""
    return {part.name: solid(part, piece.placement.position(part)) for part in piece.plan.parts}


def piece_of(conversion: Conversion) -> tuple[Piece, Piece]:
    """The piece before and after."""
    assert conversion.before is not None and conversion.before.piece is not None
    after = _inspected(conversion.result)
    assert after.piece is not None, [mistake.says for mistake in after.unread]
    return conversion.before.piece, after.piece


@lru_cache(maxsize=8)
def _inspected(result: PlanText) -> Inspection:
    """Several things are asked of one new text: it is read by itself, whatever the conversion says of it, and once."""
    return inspect_text(result)


def parent_of(before: Piece, name: str) -> Part:
    """The part of the old piece that one of the new is, or is a piece of."""
    parts = before.plan.part_by_name
    return parts.get(name) or parts[name.rpartition("_")[0]]


def check_solids(conversion: Conversion) -> None:
    """The same piece, part by part: what a part lost lay in others, what was filled in it was filled before, by them.

    Where the report tells that the outside changes, only wood where the part itself had a cut may have come.
    """
    before, after = piece_of(conversion)
    old, new = solids(before), solids(after)
    bowed = any(change.kind == "curve" for joint in conversion.joints for change in joint.changes)
    rounding = CHORDS if bowed else ROUNDING
    whole = {part.name: solid(_uncut(part), before.placement.position(part)) for part in before.plan.parts}
    one = Manifold.batch_boolean(list(old.values()), OpType.Add)
    other = Manifold.batch_boolean(list(new.values()), OpType.Add)
    outside = [w for joint in conversion.joints for w in joint.outside if "no longer seen" not in w]
    told = bool(outside)
    open_now = any("open there now" in words for words in outside)
    nosed = {words.partition(" stands ")[0] for words in outside if "that corner goes" in words}
    if not open_now and not nosed:
        assert (one - other).volume() < rounding, "wood that showed is lost"
    if not told:
        assert (other - one).volume() < rounding, "there is wood where there was none"
    pieces: dict[str, list[Manifold]] = {}
    for name, wood in new.items():
        pieces.setdefault(parent_of(before, name).name, []).append(wood)
    assert set(pieces) == set(old)
    for name, parts in pieces.items():
        now = Manifold.batch_boolean(parts, OpType.Add)
        others = Manifold.batch_boolean([wood for each, wood in old.items() if each != name], OpType.Add)
        assert (now - whole[name]).volume() < rounding, f"{name} grew"
        filled = now - old[name]
        assert told or (filled - others).volume() < rounding, f"{name} is filled where nothing lay"
        lost = old[name] - now
        around = Manifold.batch_boolean([wood for each, wood in whole.items() if each != name], OpType.Add)
        assert name in nosed or (lost - around).volume() < rounding, f"{name} lost wood that was not buried"


def check_four_things(conversion: Conversion) -> None:
    """The same piece; buried wood gone; findings all told; converting again changes nothing."""
    assert not conversion.troubles, conversion.troubles[0].says
    check_solids(conversion)
    _, after = piece_of(conversion)
    new = solids(after)
    told = {join.joint for join in conversion.joints if not join.refused}
    for join in conversion.joints:
        assert bool(join.refused) != bool(join.becomes)
        for drilled in join.drilled:
            a, b = drilled.join.part_a.name, drilled.join.part_b.name
            assert (new[a] ^ new[b]).volume() < ROUNDING, f"{a} still lies in {b}"
    inspection = _inspected(conversion.result)
    listed = [*conversion.elsewhere, *(finding for join in conversion.joints for finding in join.left)]
    assert sorted(map(repr, inspection.findings)) == sorted(map(repr, listed))
    assert len(told) == sum(not join.refused for join in conversion.joints)
    again = convert(conversion.result)
    assert again.result.text == conversion.result.text
    assert all(join.refused for join in again.joints)


def all_told(conversion: Conversion) -> Iterator[str]:
    """All that a conversion gives, in lines: of the text what changes."""
    old, new = conversion.source.text.splitlines(), conversion.result.text.splitlines()
    lines = list(unified_diff(old, new, n=0, lineterm=""))[2:]
    yield from (line for line in lines if not line.startswith("@@"))
    for joint in conversion.joints:
        yield f"{joint.joint}, {joint.was} at {joint.span.start}: {joint.becomes or joint.refused}"
        yield from (
            f"    {words}"
            for words in (*(each.says for each in joint.changes), *joint.outside, *joint.offers)
        )
        if joint.becomes:
            yield f"    {joint.screws or 'no screws'}"
        for drilled in joint.drilled:
            yield f"    {drilled.join.name}"
            yield from map(_way_told, drilled.tried)
        yield from map(_way_told, joint.tried)
        yield from (f"    left: {finding.rule} {finding.grade.word}" for finding in joint.left)
    yield from (f"elsewhere: {finding.rule} {finding.place}" for finding in conversion.elsewhere)
    yield from dict.fromkeys(joint.strength for joint in conversion.joints if joint.strength)


def _way_told(trial: Trial) -> str:
    found = Counter(f"{finding.rule} ({finding.grade.word})" for finding in trial.findings)
    rules = ", ".join(f"{count} x {rule}" if count > 1 else rule for rule, count in sorted(found.items()))
    seen = f", seen {trial.seen:.3f}" if trial.seen else ""
    return f"        {trial.choice.words(trial.part, 'in')}{seen}: {rules or 'clean'}"


def _uncut(part: Part) -> Part:
    return replace(part, removals=())


# ---------------------------------------------------------------- random plans

SIZES = {"thick": (12, 32), "wide": (40, 96)}


def inch(sixteenths: int) -> str:
    """Sixteenths of an inch as a plan writes them."""
    whole, rest = divmod(sixteenths, 16)
    if not rest:
        return str(whole)
    part = Fraction(rest, 16)
    return f"{whole}-{part}" if whole else str(part)


@st.composite
def let_in(draw: st.DrawFn, kind: str) -> str:
    """A board between two posts, both its ends let in the same way; sizes by number, by let or as a sum."""
    board = draw(st.integers(12, 20))
    post = board + draw(st.integers(0, 24))
    wide = draw(st.integers(40, 88))
    between = draw(st.integers(100, 400))
    deep = post if kind in ACROSS else draw(st.integers(4, post - 4))
    depth = draw(st.sampled_from(["", "let"]))
    said = "deep_" if depth else inch(deep)
    measure = "" if kind in ACROSS and draw(st.booleans()) else f", {said} {MEASURE.get(kind, 'deep')}"
    total = between + 2 * deep
    length = draw(
        st.sampled_from(
            [
                inch(total),
                "total",
                f"{inch(between)} + 2 * {said}",
                f"total - {inch(8)} + {inch(8)}",
                f"2 * ({inch(total)}) / 2",
            ]
        )
    )
    back = draw(st.integers(0, post - board))
    line = draw(st.booleans())
    height = draw(st.integers(0, 300))
    one = f" as {kind}{measure}" if line else ""
    under = "" if line else f"    as {kind}{measure}\n"
    comment = draw(st.sampled_from(["", "   # kept"]))
    return f"""\
plan "Random"
    unit inch
    seen from {draw(st.sampled_from(["nowhere", "front", "all round"]))}

let deep_ = {inch(deep)}
let total = {inch(total)}

stock post of red oak, {inch(post)} x {inch(max(post, wide + 8))}
stock rail of red oak, {inch(board)} x {inch(wide)}

part post_l, post_r of post, 40 long, upright, facing left{comment}
part rail of rail, {length} long, crosswise, facing {draw(st.sampled_from(["front", "back"]))}{comment}

join rail.left to post_l.right{one}{comment}
{under}    {inch(height)} from bottom
    {inch(back)} from front{comment}
join rail.right to post_r.left{one}
{under}    {inch(height)} from bottom
    {inch(back)} from front
"""


ACROSS = frozenset({"half lap", "bridle", "through dovetail", "box joint"})
MEASURE = {"mortise and tenon": "long", "half lap": "long", "bridle": "long"}
LET_IN = (
    "mortise and tenon",
    "cope and stick",
    "bridle",
    "half lap",
    "dado",
    "sliding dovetail",
    "rabbet",
    "through dovetail",
    "half-blind dovetail",
    "box joint",
    "tongue and groove",
)


@st.composite
def shelves(draw: st.DrawFn) -> str:
    """Shelves of a loop in dadoes, each told with its dado; some of them rabbeted at the top."""
    deep, board = draw(st.integers(2, 8)), 12
    count = draw(st.integers(1, 4))
    step = draw(st.integers(60, 200))
    unit = draw(st.sampled_from(["inch", "mm"]))

    def size(sixteenths: int) -> str:
        return inch(sixteenths) if unit == "inch" else f"{sixteenths * 2}"

    dados = "".join(
        f"    dado board wide deep_ deep across {{side}}, {size(32)} + {n} * step from bottom\n"
        for n in range(count)
    )
    apart = draw(st.booleans())
    sides = "part side_l of plank, {0} long, upright, facing left\n" + dados.format(side="right")
    sides += "part side_r of plank, {0} long, upright, facing left\n" + dados.format(side="left")
    return f"""\
plan "Shelves"
    unit {unit}
    seen from front, left, right

let board = {size(board)}
let deep_ = {size(deep)}
let step  = {size(step)}

stock plank of poplar, board x {size(160)}

{sides.format(size(1200))}
for n in 1 to {count}
    part shelf_{{n}} of plank, {size(400)} + 2 * deep_ long, crosswise, facing up
    join shelf_{{n}}.left to side_l.right as dado, deep_ deep
        {size(32)} + (n - 1) * step from bottom
        flush front
    join shelf_{{n}}.right to side_r.left{" as dado, deep_ deep" if not apart else ""}
{"        as dado" if apart else "        # as the other end"}
        {size(32)} + (n - 1) * step from bottom
        flush front
"""


@st.composite
def lapped(draw: st.DrawFn) -> str:
    """Two bars flush on both faces, one across the other: a corner, a tee or a cross, face to face."""
    wide_a, wide_b = draw(st.integers(24, 64)), draw(st.integers(24, 64))
    thick = draw(st.integers(12, 20))
    long_a, long_b = draw(st.integers(200, 400)), draw(st.integers(200, 400))
    along = draw(
        st.sampled_from(["centred left to right", "flush left", "flush right", "cross_at from left"])
    )
    across = draw(st.sampled_from(["centred top to bottom", "flush top", "flush bottom", "rise from bottom"]))
    cross = along in {"centred left to right", "cross_at from left"} and across.startswith(
        ("centred", "rise")
    )
    kind = "cross lap, thick deep" if cross or draw(st.booleans()) else "half lap"
    size = draw(st.sampled_from([inch(long_a), "long_a"]))
    first = "a.back to b.front"
    words = [along, across]
    # A is placed in B: of the two, only the one within whose length it lies can carry the word.
    if along == "cross_at from left":
        words[0] = f"proud {inch(draw(st.integers(40, 100)))} at left"
    if across == "rise from bottom":
        words[1] = f"{inch(draw(st.integers(40, 120)))} from bottom"
    return f"""\
plan "Laps"
    seen from nowhere

let thick = {inch(thick)}
let long_a = {inch(long_a)}

stock one of hard maple, thick x {inch(wide_a)}
stock two of hard maple, thick x {inch(wide_b)}

part a of one, {size} long, crosswise, facing front
part b of two, {inch(long_b)} long, upright, facing front

join {first} as {kind}
    {words[0]}
    {words[1]}
"""


@st.composite
def boards(draw: st.DrawFn) -> str:
    """Boards side by side, each with its tongue in the next."""
    count = draw(st.integers(2, 4))
    tongue = draw(st.integers(2, 8))
    wide = draw(st.integers(56, 96))
    as_let = draw(st.booleans())
    said = "tongue_" if as_let else inch(tongue)
    width = draw(st.sampled_from(["", f", {inch(wide)} wide", f", {inch(wide - tongue)} + {said} wide"]))
    return f"""\
plan "Boards"
    seen from all round

let tongue_ = {inch(tongue)}

stock plank of black walnut, 3/4 x {inch(wide)}

part board_1 of plank, 24 long, crosswise, facing up
for n in 2 to {count}
    part board_{{n}} of plank, 24 long, crosswise, facing up{width}
for n in 2 to {count}
    join board_{{n}}.front to board_{{n - 1}}.back as tongue and groove, {said} deep
        flush left, top
        glued
"""


@st.composite
def plain(draw: st.DrawFn) -> str:
    """A joint in which nothing changes in size."""
    kind = draw(
        st.sampled_from(
            [
                "butt",
                "dowels",
                "dowels, 1/4 thick",
                "biscuits",
                "loose spline, 1/4 thick",
                "splined mitre",
                "mitre",
            ]
        )
    )
    if "mitre" in kind:
        wide = draw(st.integers(40, 96))
        return f"""\
plan "Mitred corner"
    seen from front

stock strip of cherry, 3/4 x {inch(wide)}

part rail of strip, 20 long, crosswise, facing front
    ends cut 45, long at top
part stile of strip, 16 long, upright, facing front
    ends cut 45, long at left

join rail.left to stile.top as {kind}
    flush top, front
"""
    thick, wide = draw(st.integers(5, 20)), draw(st.integers(24, 96))
    return f"""\
plan "Butt"
    seen from {draw(st.sampled_from(["front", "all round"]))}

stock rail of pine, {inch(thick)} x {inch(wide)}
stock leg of pine, 2 x 2

part rail of rail, 20 long, crosswise, facing front
part leg of leg, 20 long, upright, facing front

join rail.left to leg.right as {kind}
    flush top, front
"""
