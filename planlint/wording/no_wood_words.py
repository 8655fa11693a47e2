"""The words for joints that leave no wood: what is too large for what, and how large it may be."""

from math import floor

from planlint.checks.joint_wood import BISCUITS, NoWood
from planlint.geometry.let_in import opens
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box
from planlint.model.directions import SIDES
from planlint.model.plan import Join
from planlint.text.measures import length, listed, rule_mark
from planlint.wording.finding_text import Told

NOUNS = {
    "mortise and tenon": "tenon",
    **dict.fromkeys(("half lap", "cross lap"), "lap"),
    **dict.fromkeys(("bridle", "tongue and groove", "cope and stick", "breadboard end"), "tongue"),
}
"""What a part lets into another, where it is not called as the joint is."""


def _third(wide: float, unit: str) -> str:
    """A third of a width, down to the next mark of a rule: what is let in lengthwise leaves as much on either side."""
    step = rule_mark(unit)
    return length(step * max(1, floor(wide / 3 / step)), unit)


def no_wood(piece: Piece, fault: NoWood) -> Told:
    """What the wood does not bear, and what it would."""
    unit, part, join = piece.plan.unit, fault.part.name, fault.join
    amount, most = length(fault.amount, unit), length(max(fault.most, 0.0), unit)
    if fault.kind == "severed":
        return _severed(piece, fault)
    assert join is not None
    noun, joint = _noun(join), f"{join.part_a.name} to {join.part_b.name}"
    one = noun not in {"dowels", "biscuits"}
    are, they = ("is", "it") if one else ("are", "they")
    if fault.kind == "window":
        return Told(
            f"The {noun} for {join.part_a.name} and what is cut in the other face of {part} meet: they open a hole of "
            f"{amount} by {most} in {part}.",
            [
                "Make both shallower, so that wood stays between them.",
                "Or lay one of them clear of the other.",
            ],
        )
    says, do = {
        "thick": (
            f"{_left(join)} is to be {amount} thick, and {part} is {most} thick.",
            f"Say how thick it really is: about {length(fault.most / (2 if noun == 'lap' else 3), unit)}.",
        ),
        "wide": (
            f"The {noun} of {joint} is to be {amount} wide, and {part} is only {most} wide.",
            f"Make it {most} wide at the most, or less with shoulders.",
        ),
        "no-cheek": (
            f"The mortise of {joint} leaves {most} of {part} beside a tenon {amount} thick: its cheek breaks out.",
            f"Make the tenon thinner, or set {join.part_a.name} further in from that face.",
        ),
        "mortise-shallow": (
            f"The mortise of {joint} is to be {amount} deep, and the tenon is {most} long.",
            f"Make the mortise {most} deep or a little more, or the tenon shorter.",
        ),
        "no-floor": (
            f"The {noun} of {joint} goes {amount} into {part}, which is {most} there: no wood is left behind it.",
            f"Let {join.part_a.name} in by {length(fault.most / 2, unit)} or less.",
        ),
        "slot-deep": (
            f"The {'mortise' if noun == 'tenon' else 'hole' if noun == 'dowels' else 'slot'} of {joint} is to be "
            f"{amount} deep, and {part} is only {most} there: it comes out.",
            f"Take smaller ones, or hold it otherwise: the smallest go {length(BISCUITS[0][1], unit)} deep."
            if noun == "biscuits"
            else "Make it shallower.",
        ),
        "slot-shallow": (
            f"The {noun} of {joint} {are} to be {amount} across the joint, and both slots together are {most} deep.",
            f"Make {'it' if one else 'them'} {most} or less, or the slots deeper.",
        ),
        "insert-thick": (
            f"The {noun} of {joint} {are} to be {amount} thick, and the place where the parts meet is {most} wide: too "
            "little wood stays beside.",
            "Hold it otherwise, or make the wood thicker."
            if noun == "biscuits"
            else f"Take {'one' if one else 'some'} {_third(fault.most, unit)} thick or less, or make the wood thicker.",
        ),
        "insert-long": (
            f"The {noun} of {joint} {are} to be {amount} across the joint, and the wood takes {most} at the "
            f"most: {they} {'comes' if one else 'come'} out of {part}.",
            f"Make {'it' if one else 'them'} {most} or less.",
        ),
        "insert-run": (
            f"The {noun} of {joint} {are} to be {amount} long, and the parts meet only over {most}.",
            f"Make {'it' if one else 'them'} {most} or less.",
        ),
        "not-through": (
            f"The through tenon of {joint} is {amount} long and {part} {most}: it does not come through.",
            f"Make it {most} long, or leave out `through`.",
        ),
        "lap-deep": (
            f"{part} is let in {amount} deep and is only {most} that way: the laps do not add up.",
            f"Let it in {most} deep or less: `deep` is how far it goes in in all.",
        ),
        "lap-short": (
            f"The {noun} of {joint} is {amount} long and {part} {most} across: so short, it is no {noun}.",
            f"Make it {most} long: that is how far it lies over {part}, not what is cut out of each.",
        ),
        "lap-wide": (
            f"The {noun} of {joint} is {amount} wide and {part} {most}: the laps do not add up.",
            f"Make it {most} wide, or leave the width out: the lap is as wide as {part}.",
        ),
        "crowded": (
            f"The {noun} of {joint}, {amount} thick, "
            + (
                f"leave only {most} of wood between them or to the end of the joint."
                if fault.most > 0
                else "run into one another or out of the joint."
            ),
            "Set them further in and further apart, or take fewer or thinner ones.",
        ),
        "no-place": (
            f"The screws of {joint} leave {most} free along the joint, and the {noun} there "
            f"{'wants' if one else 'want'} {amount}: they would be drilled through.",
            f"Leave a screw out, or hold the joint with screws or {noun} alone.",
        ),
    }[fault.kind]
    return Told(says, [do])


def _noun(join: Join) -> str:
    assert join.tradition is not None
    kind = join.tradition.kind
    return "spline" if join.tradition.joint.splined else NOUNS.get(kind, kind)


def _left(join: Join) -> str:
    noun, a = _noun(join), join.part_a.name
    return f"What is left of {a} in its lap" if noun == "lap" else f"The {noun} of {a} to {join.part_b.name}"


def _severed(piece: Piece, fault: NoWood) -> Told:
    part, cuts = fault.part.name, []
    for each in fault.gone:
        if each.removal is not None:
            cuts.append(f"the {each.removal.kind}{_opening(piece.body(fault.part), each.box)}")
        elif each.join is not None:
            cuts.append(f"what {each.join.name} takes")
    what = f"{listed(cuts, len(cuts))} {'cut' if len(cuts) > 1 else 'cuts'}"
    return Told(
        f"{what[0].upper()}{what[1:]} {part} in two: no wood is left there.",
        ["Cut less deep, so that wood stays between.", "Or lay them clear of one another."][: len(cuts)],
    )


def _opening(body: Body, cut: Box) -> str:
    side = next((side for side in SIDES if opens(cut, body, side.axis, side.sign)), None)
    return f" in its {side.value}" if side is not None else ""
