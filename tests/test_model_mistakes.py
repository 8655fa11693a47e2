"""Every mistake of a plan that can be read but not worked out: one message, at its place.

The place is marked ⟦so⟧ in each case.
"""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.inspection.inspect_plan import understand
from planlint.language.reader import read
from planlint.model.elaborate import elaborate
from planlint.model.plan import Plan
from planlint.model.workshop import Settings
from planlint.text.source import Mistake, PlanText, Span

STOCK = """\
stock rail of douglas fir, 1x4
stock post of douglas fir, 4x4
stock sheet of birch plywood, 3/4 thick, 48 x 96
stock board of white oak, 3/4 thick
"""

FRAME = """\
part leg of post, 34 long, upright, facing front
part apron of rail, 17 long, crosswise, facing front
"""


def work_out(text: str, most: int = 20_000) -> tuple[Plan | None, list[Mistake]]:
    tree, unread = read(PlanText("bench.plan", text))
    assert unread == []
    return elaborate(tree, Settings(most_items=most))


def marked(case: str) -> tuple[str, Span]:
    start, end = case.index("⟦"), case.index("⟧") - 1
    return case.replace("⟦", "").replace("⟧", ""), Span(start, end)


PARTS = {
    "unknown stock": (
        "part a of ⟦rial⟧, 3 long, upright, facing front",
        "no stock called rial; the nearest is rail",
    ),
    "unknown stock, none near": (
        "part a of ⟦teaktop⟧, 3 long, upright, facing front",
        "write a `stock teaktop of",
    ),
    "stock named twice": ("stock ⟦rail⟧ of oak, 1x4", "stock rail is already named on line 1"),
    "panel by nominal size": ("stock x of plywood, ⟦1x4⟧", "comes in sheets"),
    "nominal the wrong way round": ("stock x of pine, ⟦4x2⟧", "the thickness comes first: 2x4"),
    "nominal not made": ("stock x of pine, ⟦2x13⟧", "timber is not sold as 2x13"),
    "stock thicker than wide": ("stock x of oak, ⟦5-1/2 x 3/4⟧", "5-1/2 thick is more than 3/4 wide"),
    "millimetres in inches": (
        "stock x of oak, ⟦19⟧ x 89",
        "19 in thick: are these millimetres? Write `unit mm` in the plan",
    ),
    "a sheet in millimetres": ("stock x of plywood, ⟦6⟧ thick", "6 in thick: are these millimetres?"),
    "a sheet wide in millimetres": (
        "stock x of plywood, 3 thick, ⟦1220⟧ x 2440",
        "wide: are these millimetres? Write `unit mm` in the plan",
    ),
    "thinner than veneer": ("stock x of oak, ⟦1/64⟧ x 3", "1/64 in thick: no stock is so thin"),
    "stock of no thickness": ("stock x of oak, ⟦0⟧ x 3", "the thickness comes to nothing"),
    "stock of negative length": ("stock x of oak, 1 x 3, ⟦2 - 3⟧", "the length comes to less than nothing"),
    "part named twice": (
        "part ⟦leg⟧ of rail, 3 long, upright, facing front",
        "part leg is already named on line 5",
    ),
    "part named twice on one line": (
        "part a, ⟦a⟧ of rail, 3 long, upright, facing front",
        "part a is already named on line 7",
    ),
    "part named again in a loop": (
        "for n in 1 to 5\n    part ⟦a⟧ of rail, 3 long, upright, facing front",
        "each turn of the loop names a part a again: number them, such as a_{n}",
    ),
    "stock named again in a loop": ("for n in 1 to 5\n    stock ⟦a⟧ of oak, 1x4", "names a stock a again"),
    "no length of many": ("⟦part a, b, c, d, e of rail, upright, facing front⟧", "a to e has no length"),
    "no length of four": ("⟦part a, b, c, d of rail, upright, facing front⟧", "a, b, c and d has no length"),
    "an arch deeper than half a circle": (
        "part a of rail, 30 long, upright, facing front, arch ⟦1-1/16⟧ deep along bottom, from 1 to 3",
        "half a circle of that span is the most: no more than 1 in deep",
    ),
    "a bow deeper than half a circle": (
        "part a of rail, 4 long, upright, facing front, bow ⟦2-1/16⟧ deep along left",
        "half a circle of that span is the most: no more than 2 in deep",
    ),
    "an arch of less than half its span": (
        "part a of rail, 30 long, upright, facing front, arch ⟦1-15/16⟧ radius along left, from 2 to 6",
        "half a circle of that span is the most: a radius 2 in or more",
    ),
    "no length": ("⟦part a of rail, upright, facing front⟧", "a has no length"),
    "no orientation": (
        "⟦part a of rail, 3 long⟧",
        "does not say how its length lies (upright, crosswise or deep) and where its face looks",
    ),
    "no facing": ("⟦part a of rail, 3 long, upright⟧", "does not say where its face looks"),
    "no lie": ("⟦part a, b of rail, 3 long, facing up⟧", "a and b does not say how its length lies"),
    "length along the face": (
        "⟦part a of rail, 3 long, upright, facing up⟧",
        "the length runs top to bottom and so does the face",
    ),
    "sheet without width": (
        "⟦part a of sheet, 3 long, upright, facing front⟧",
        "a is cut from sheet, which sets no width",
    ),
    "board of open width": (
        "⟦part a of board, 3 long, upright, facing front⟧",
        "sets no width: say how wide",
    ),
    "zero length": (
        "part a of rail, ⟦3 - 3⟧ long, upright, facing front",
        "the length comes to nothing: it must be more than 0",
    ),
    "negative width": (
        "part a of rail, 3 long, ⟦-2⟧ wide, upright, facing front",
        "the width comes to less than nothing",
    ),
    "thin as a shaving": (
        "part a of rail, 3 long, ⟦1/2000⟧ thick, upright, facing front",
        "thinner than a shaving",
    ),
    "over a thousand feet": ("part a of rail, ⟦1001 ft⟧ long, upright, facing front", "over 1000 ft"),
    "thicker than the stock": (
        "part a of rail, 3 long, ⟦1 thick⟧, upright, facing front",
        "1 in thick is more than its stock rail gives, 3/4 in: name another stock, or glue up a thicker stock",
    ),
    "wider than the stock": (
        "part a of rail, 3 long, ⟦5 wide⟧, upright, facing front",
        "5 in wide is more than its stock rail gives, 3-1/2 in: name another stock, or join boards edge to edge",
    ),
    "thicker than wide": (
        "part a of rail, 3 long, ⟦1/2 wide⟧, upright, facing front",
        "3/4 in thick is more than 1/2 in wide",
    ),
    "measure twice": (
        "part a of rail, 3 long, ⟦4 long⟧, upright, facing front",
        "how long the part is has been said already",
    ),
    "lies twice": ("part a of rail, 3 long, upright, ⟦deep⟧, facing front", "already lies upright"),
    "faces twice": ("part a of rail, 3 long, upright, facing front, ⟦facing left⟧", "already faces front"),
    "rough and surfaced": (
        "part a of rail, 3 long, upright, facing front, rough, ⟦surfaced four sides⟧",
        "either rough or surfaced",
    ),
    "finish on an edge": (
        "part a of rail, 3 long, upright, facing front, ⟦finish left only⟧",
        "left is not a face of this part: its faces are front and back",
    ),
    "turned twice": (
        "part a of rail, 3 long, upright, facing front, turned 5 about deep, ⟦turned 5 about deep⟧",
        "turned once",
    ),
    "turned by a length": (
        "part a of rail, 3 long, upright, facing front, turned ⟦5 in⟧ about deep",
        "an angle in degrees is due here, and 5 in is a length",
    ),
    "turned right round": (
        "part a of rail, 3 long, upright, facing front, ⟦turned 360 about deep⟧",
        "less than a full turn",
    ),
    "cut on a side": (
        "part a of rail, 30 long, upright, facing front, ⟦left⟧ end cut 45, long at right",
        "left is not an end of this part: its ends are bottom and top",
    ),
    "long at an end": (
        "part a of rail, 30 long, upright, facing front, top end cut 45, long at ⟦top⟧",
        "an end itself",
    ),
    "angle too steep": (
        "part a of rail, 30 long, upright, facing front, top end cut ⟦81⟧, long at left",
        "0 to 80 degrees",
    ),
    "angle below 0": (
        "part a of rail, 30 long, upright, facing front, top end cut ⟦-5⟧, long at left",
        "0 to 80 degrees",
    ),
    "cut twice": (
        "part a of rail, 30 long, upright, facing front, ends cut 45, long at left, ⟦top end cut 45, long at left⟧",
        "the top end is cut twice",
    ),
    "mitres that cross": (
        "part a of rail, 6 long, upright, facing front, ⟦ends cut 45, long at left⟧",
        "cuts cross",
    ),
    "rabbet on one axis": (
        "part a of rail, 30 long, upright, facing front, rabbet 1/4 x 1/4 along ⟦left right⟧",
        "left and right do not meet at a corner",
    ),
    "rabbet too deep": (
        "part a of rail, 30 long, upright, facing front, rabbet ⟦3/4⟧ x 1/2 along back left",
        "3/4 in in from back, and the part is only 3/4 in front to back",
    ),
    "groove too deep": (
        "part a of rail, 30 long, upright, facing front, groove 1/4 wide ⟦1⟧ deep along back, 1 from left",
        "nothing would be left",
    ),
    "dado turned round": (
        "part a of rail, 30 long, upright, facing front, dado 1/2 wide ⟦1⟧ deep across front, 9 from top",
        "is it the other way round, `dado 1 in wide 1/2 in deep …`?",
    ),
    "distance that turns": (
        "for n in 1 to 2\n    part s_{n} of rail, 30 long, upright, facing front\n    join s_{n}.left to leg.right\n"
        "        ⟦(n - 1) * 5 - 3⟧ from front",
        "less than 0 where n is 1; where it stands out past the other part say `proud D at SIDE`",
    ),
    "groove outside": (
        "part a of rail, 30 long, upright, facing front, groove 1/4 wide 1/4 deep along back, ⟦3-3/8 from left⟧",
        "reaches 3-5/8 in from left, and the part is only 3-1/2 in",
    ),
    "groove before the edge": (
        "part a of rail, 30 long, upright, facing front, groove 1/4 wide 1/4 deep along back, ⟦-1⟧ from left",
        "less than 0",
    ),
    "groove of no width": (
        "part a of rail, 30 long, upright, facing front, groove ⟦0⟧ wide 1/4 deep along back, 1 from left",
        "the width of the groove comes to nothing",
    ),
    "notch through twice": (
        "part a of rail, 30 long, upright, facing front, notch 3/4 x ⟦3-1/2⟧ x 2 at front left top",
        "nothing would be left",
    ),
    "hung below the floor": (
        "part a of rail, 30 long, upright, facing front, hung with bottom at ⟦-2⟧",
        "less than 0",
    ),
    "let named twice": ("let a = 1\nlet ⟦a⟧ = 2", "a is already given a value on line 7"),
    "ring of lets": (
        "let ⟦a⟧ = b + 1\nlet b = c\nlet c = a * 2",
        "go round in a ring: a needs b needs c needs a",
    ),
    "long rings are told in short": (
        "let ⟦a⟧ = b\nlet b = c\nlet c = d\nlet d = e\nlet e = f\nlet f = g\nlet g = h\nlet h = i\nlet i = a",
        "ring: a needs b needs c needs d needs … needs g needs h needs i needs a;",
    ),
    "as long a ring as is told whole": (
        "let ⟦a⟧ = b\nlet b = c\nlet c = d\nlet d = e\nlet e = f\nlet f = g\nlet g = h\nlet h = a",
        "ring: a needs b needs c needs d needs e needs f needs g needs h needs a;",
    ),
    "let of itself": ("let ⟦a⟧ = a", "a is worked out from itself"),
    "unknown name": (
        "let long = 3\nlet a = ⟦lnog⟧ * 2",
        "nothing here is called lnog; the nearest name is long",
    ),
    "name cut short": ("let leg_l_wide = 3\nlet a = ⟦leg_l⟧ * 2", "the nearest name is leg_l_wide"),
    "unit as a name": ("let units = ⟦mm⟧", "the plan's is told under `plan`: `unit mm`"),
    "area": (
        "let a = ⟦3 in * 2 in⟧",
        "a length times a length is an area, and no area is due here: 3 in and 2 in are both lengths",
    ),
    "area through a let": (
        "let wide = 3 mm\nlet a = 1 + ⟦2 * wide * (wide + 1)⟧",
        "2 * wide and (wide + 1) are both lengths",
    ),
    "number by length": ("let a = ⟦3 / 2 in⟧", "3 has no unit and 2 in is a length"),
    "divided by nothing": ("let a = ⟦3 / (2 - 2)⟧", "3 is divided by (2 - 2), which is nothing"),
    "runs away": (
        "let a = 999999999999 * 999999999999 * 999999999999\nlet b = a * a\nlet c = ⟦b * b⟧",
        "grows past anything",
    ),
    "loop runs down": (
        "for n in ⟦3 to 1⟧\n    part a_{n} of rail, 3 long, upright, facing front",
        "runs from 3 up to 1",
    ),
    "loop by a length": (
        "for n in 1 to ⟦3 in⟧\n    part a_{n} of rail, 3 long, upright, facing front",
        "whole number, and this is a length",
    ),
    "loop by a fraction": (
        "for n in 1 to ⟦7/2⟧\n    part a_{n} of rail, 3 long, upright, facing front",
        "whole number, and this is 7/2",
    ),
    "loop name in use": (
        "let n = 1\nfor ⟦n⟧ in 1 to 2\n    part a_{n} of rail, 3 long, upright, facing front",
        "n already stands for something",
    ),
    "two plan lines": ('plan "One"\n⟦plan "Two"⟧', "already has its title on line 7"),
    "two plan lines with their own units": (
        'plan "One"\n    unit inch\n⟦plan "Two"⟧\n    unit mm',
        "already has its title on line 7",
    ),
    "two unit lines": ('plan "One"\n    unit inch\n    ⟦unit mm⟧', "the unit is already set on line 8"),
    "two eye heights": ('plan "One"\n    eye height 60\n    ⟦eye height 61⟧', "already said on line 8"),
    "seen from the top": ('plan "One"\n    seen from front, ⟦top⟧', "not from top"),
    "eye height of nothing": ('plan "One"\n    eye height ⟦0⟧', "the eye height comes to nothing"),
    "load on nothing": ("load 60 lb on ⟦lge⟧", "no part called lge; the nearest is leg"),
    "accept with an unknown name": ("accept wide-spacing on leg_{⟦k⟧}", "nothing here is called k"),
    "load of nothing": ("⟦load 0 lb on leg⟧", "more than 0"),
}

JOINS = {
    "a screw by another unit": (
        "join apron.left to leg.right\n    screws 2 through right, ⟦4 thick⟧, 2 long",
        "no screw is 4 in thick: is `4 mm` meant?",
    ),
    "number of a repeat": (
        "for n in 1 to 2\n    join ⟦apron_n⟧.left to leg.right",
        "the number of a repeat stands in braces in a name: apron_{n}",
    ),
    "unknown part": ("join ⟦apran⟧.left to leg.right", "no part called apran; the nearest is apron"),
    "unknown second part": ("join apron.left to ⟦lg⟧.right", "no part called lg; the nearest is leg"),
    "a part whose own line is misspelt, told once": (
        "part stille of rail, 9 long, upright, facing front\n"
        "join apron.left to ⟦stile⟧.right\njoin leg.left to stile.right",
        "no part called stile; the nearest is stille (line 9 calls it so too)",
    ),
    "joined to itself": ("join ⟦leg.left to leg.right⟧", "leg is joined to itself"),
    "joined twice": (
        "join apron.left to leg.right\njoin ⟦apron.left to leg.right⟧",
        "apron.left is joined to leg.right already on line 7",
    ),
    "a name left as it was in a copied line": (
        "part apron_2 of rail, 17 long, crosswise, facing front\n"
        "join apron.left to leg.right\njoin ⟦apron.left to leg.right⟧",
        "already on line 8: if apron_2 is meant, write `apron_2.left` for `apron.left`; else say all of it there",
    ),
    "a line copied for the other end, its names left as they were": (
        "part leg_2 of post, 34 long, upright, facing front\n"
        "join apron.left to leg.right\njoin ⟦apron.left to leg.right⟧",
        "already on line 8: if its other end is meant, write `apron.right to leg_2.left`; else say all of it there",
    ),
    "joined twice in a loop": (
        "for n in 1 to 5\n    join ⟦apron.left to leg.right⟧",
        "apron.left is joined to leg.right already in another turn of its loop",
    ),
    "own name twice": (
        "join x: apron.left to leg.right\njoin ⟦x⟧: apron.right to leg.left",
        "a join is already called x on line 7",
    ),
    "flush along the joint": (
        "join apron.left to leg.right\n    flush ⟦left⟧",
        "`flush left` runs across the joint, where apron.left already meets leg.right: "
        "place it by front, back, bottom or top",
    ),
    "set back along the joint": (
        "join apron.left to leg.right\n    set back 1 from ⟦right⟧",
        "runs across the joint",
    ),
    "a place on the floor of a notch": (
        "part tread of rail, 9 long, crosswise, facing up\n"
        "part side of post, 9 long, upright, facing left\n    notch 1 x 4 at front top\n"
        "join tread.bottom to side.top\n    4 from ⟦top⟧",
        "If it lies on the floor of a notch in side, join it `as rabbet`",
    ),
    "centred along the joint": (
        "join apron.left to leg.right\n    ⟦centred left to right⟧",
        "`centred left to right` runs across the joint",
    ),
    "set back by less than 0": (
        "join apron.left to leg.right\n    set back ⟦-1⟧ from front",
        "say `proud D at SIDE`",
    ),
    "proud by less than 0": (
        "join apron.left to leg.right\n    proud ⟦-1⟧ at front",
        "say `set back D from SIDE`",
    ),
    "no pockets": ("join apron.left to leg.right\n    pockets ⟦0⟧ in back", "0 pockets hold nothing"),
    "fewer than no pockets": (
        "join apron.left to leg.right\n    pockets ⟦-2⟧ in back",
        "-2 pockets hold nothing",
    ),
    "half a pocket": ("join apron.left to leg.right\n    pockets ⟦1/2⟧ in back", "must be a whole number"),
    "far too many pockets": ("join apron.left to leg.right\n    pockets ⟦201⟧ in back", "more than 200"),
    "pockets in the joint": (
        "join apron.left to leg.right\n    pockets 2 in ⟦left⟧",
        "the drilled face is square to the joint, so in apron drill front, back, bottom or top",
    ),
    "pockets in the far end": (
        "join apron.left to leg.right\n    pockets 2 in ⟦right⟧",
        "cannot come out at left",
    ),
    "pockets in B, in the joint": (
        "join apron.left to leg.right\n    pockets 2 in ⟦leg.left⟧",
        "cannot come out at right",
    ),
    "pockets in a stranger": (
        "join apron.left to leg.right\n    pockets 2 in ⟦shelf⟧.back",
        "shelf is not part of this join: its pockets are in apron or leg",
    ),
    "pocket before the edge": (
        "join apron.left to leg.right\n    pockets at 1, ⟦-1⟧ from top in back",
        "measure inward from the side named",
    ),
    "more pockets than there is room for": (
        "join apron.left to leg.right\n    pockets ⟦180⟧ in back",
        "180 pockets do not fit: apron is only 3-1/2 in that way, and bores nearer than 1/4 in are one hole",
    ),
    "a screw as long as a house": (
        "join apron.left to leg.right\n    screws coarse ⟦1000⟧",
        "no screw is over 24 in long",
    ),
    "pockets from the face": (
        "join apron.left to leg.right\n    pockets at 1 from ⟦front⟧ in back",
        "set out top to bottom: measure from bottom or top, not front",
    ),
    "spacing of nothing": (
        "join apron.left to leg.right\n    pockets every ⟦0⟧ from 1 in back",
        "the spacing of the pockets comes to nothing",
    ),
    "spacing too fine": (
        "join apron.left to leg.right\n    pockets every ⟦1/100⟧ from 1 in back",
        "more than 200 pockets",
    ),
    "screws of no length": (
        "join apron.left to leg.right\n    screws coarse ⟦0⟧",
        "the length of the screws comes to nothing",
    ),
    "gauge not made": (
        "join apron.left to leg.right\n    screws coarse 1 gauge ⟦99⟧",
        "gauges 2 to 24, not 99",
    ),
    "gauge as a length": (
        "join apron.left to leg.right\n    screws coarse 1 gauge ⟦8 mm⟧",
        "whole number, and this is a length",
    ),
    "screws twice": (
        "join apron.left to leg.right\n    screws to suit\n    ⟦screws coarse 1⟧",
        "named already",
    ),
    "glued two ways": (
        "join apron.left to leg.right\n    glued\n    ⟦glued along the middle third⟧",
        "said already",
    ),
    "tenon without length": (
        "join apron.left to leg.right as ⟦mortise and tenon⟧, 3/8 thick",
        "a mortise and tenon needs length of the tenon",
    ),
    "tenon out of the far side": (
        "join apron.left to leg.right as mortise and tenon, tenon ⟦4 long⟧",
        "goes 4 in into leg, which is only 3-1/2 in left to right",
    ),
    "tenon of no length": (
        "join apron.left to leg.right as mortise and tenon, tenon ⟦0⟧ long",
        "comes to nothing",
    ),
    "tenon long twice": (
        "join apron.left to leg.right as mortise and tenon, 1 long, ⟦2 long⟧",
        "how long it is has been said already",
    ),
    "dado without depth": ("join apron.left to leg.right as ⟦dado⟧", "a dado needs how far A goes into B"),
    "cross lap without depth": (
        "join apron.back to leg.front as ⟦cross lap⟧",
        "a cross lap needs how deep A is let into B",
    ),
    "butt with a measure": ("join apron.left to leg.right as butt, ⟦1 long⟧", "it takes no measures"),
    "dowels through": (
        "join apron.left to leg.right as dowels, ⟦through⟧",
        "through says nothing about dowels",
    ),
    "two traditions": ("join apron.left to leg.right as butt\n    ⟦as dowels⟧", "already a butt"),
    "dowels too wide": (
        "join apron.left to leg.right as dowels, ⟦1 wide⟧",
        "dowels is not so much wide: it takes thick, long and deep",
    ),
}


@pytest.mark.parametrize("case", [*PARTS, *JOINS])
def test_one_mistake_at_its_place(case: str) -> None:
    line, says = PARTS.get(case) or JOINS[case]
    text, span = marked(f"{STOCK}{FRAME}{line}\n")
    plan, mistakes = work_out(text)
    assert [mistake.says for mistake in mistakes if says not in mistake.says] == []
    assert [mistake.span for mistake in mistakes] == [span]
    assert plan is not None and {"leg", "apron"} <= set(plan.part_by_name)


def test_line_and_column_as_an_editor_counts() -> None:
    text = f"{STOCK}{FRAME}join apron.left to leg.right\n    pockets 0 in back\n"
    _, (mistake,) = work_out(text)
    assert PlanText("bench.plan", text).position(mistake.span.start) == (8, 13)


def test_no_parts() -> None:
    plan, mistakes = work_out('plan "Empty"\n')
    assert plan is None
    assert [mistake.says for mistake in mistakes] == [
        "this plan has no parts yet: write a `part` line for each board"
    ]
    assert mistakes[0].span == Span(0, 12)


FOLLOW_ON = {
    "broken stock": (
        "stock x of concret, 1x4\npart a of x, 3 long, upright, facing up\njoin a.left to leg.right\nload 1 lb on a",
        1,
    ),
    "broken part": (
        "part a of rail, 0 long, upright, facing front\njoin a.left to leg.right\njoin b.top to a.left\nload 1 lb on a",
        2,
    ),
    "broken let": (
        "let a = 1 / 0\nlet b = a + 1\npart c of rail, b long, upright, facing front\njoin c.left to leg.right",
        1,
    ),
    "ring": ("let a = b\nlet b = a\npart c of rail, a long, upright, facing front", 1),
    "broken loop": (
        "for n in 1 to 0\n    part s_{n} of rail, 3 long, upright, facing front\njoin s_1.left to leg.right",
        1,
    ),
    "broken template": ("part s_{m} of rail, 3 long, upright, facing front\njoin s_1.left to leg.right", 1),
    "several on one part": (
        "part a of rail, 0 long, upright, deep, facing front\njoin a.left to leg.right",
        2,
    ),
    "once for all turns": (
        "for n in 1 to 9\n    part s_{n} of rail, 3 long, 9 wide, upright, facing front\n"
        "    join s_{n}.left to leg.right",
        1,
    ),
    "once for all turns of a join": ("for n in 1 to 9\n    join apron_{n}.left to leg.right", 1),
    "once for two loops": (
        "for n in 1 to 3\n    for m in 1 to 3\n        part s_{n}{m} of rial, 3 long, upright, facing front",
        1,
    ),
    "let in a loop": (
        "for n in 1 to 3\n    let k = n / 0\n    part s_{n} of rail, k long, upright, facing front",
        1,
    ),
    "last turns only": (
        "for n in 1 to 9\n    part s_{n} of rail, 5 - n long, upright, facing front\n    join s_{n}.left to leg.right",
        1,
    ),
}


@pytest.mark.parametrize("case", FOLLOW_ON)
def test_no_mistake_follows_on_another(case: str) -> None:
    lines, count = FOLLOW_ON[case]
    _, mistakes = work_out(f"{STOCK}{FRAME}{lines}\n")
    assert len(mistakes) == count, mistakes


UNREAD = {
    "part line": ("part shelf of rail, 3 lnog, upright, facing front\njoin shelf.left to leg.right", 0),
    "part line of a loop": (
        "for n in 1 to 2\n    part s_{n} of rail, 3 ?, upright, facing front\njoin s_1.left to leg.right",
        0,
    ),
    "stock line": ("stock x of pine ? 1x4\npart a of x, 3 long, upright, facing front", 0),
    "detail of a part": ("part a of rail\n    3 lnog\n    upright, facing front", 0),
    "another part": ("part shelf of rail, 3 lnog, upright, facing front\njoin shlef.left to leg.right", 1),
}


@pytest.mark.parametrize("case", UNREAD)
def test_nothing_follows_on_a_line_that_was_not_read(case: str) -> None:
    lines, count = UNREAD[case]
    tree, unread = read(PlanText("bench.plan", f"{STOCK}{FRAME}{lines}\n"))
    assert len(unread) == 1
    _, mistakes = elaborate(tree, Settings())
    assert len(mistakes) == count, mistakes


def test_mistakes_come_in_the_order_of_their_places() -> None:
    _, mistakes = work_out(
        f"{STOCK}{FRAME}join apron.left to lag.right\npart b of rial, 1 long\nlet q = 1 / 0\n"
    )
    assert len(mistakes) == 3
    assert mistakes == sorted(mistakes)


@pytest.mark.parametrize(
    "loops",
    [
        "⟦for n in 1 to 999999999999⟧\n    part s_{n} of rail, 3 long, upright, facing front",
        "⟦for n in 1 to 150⟧\n    for m in 1 to 150\n        part s_{n}_{m} of rail, 3 long, upright, facing front",
        "⟦for n in 1 to 300⟧\n    for m in 1 to n\n        part s_{n}_{m} of rail, 3 long, upright, facing front",
        "⟦for n in 1 to 300⟧\n    let k = n\n    for m in 1 to k\n"
        "        part s_{n}_{m} of rail, 3 long, upright, facing front",
        "⟦for n in 1 to 7000⟧\n    part a_{n}, b_{n}, c_{n} of rail, 3 long, upright, facing front",
        "⟦for n in 1 to 10500⟧\n    part a_{n} of rail, 3 long, upright, facing front\n"
        "    join a_{n}.left to leg.right",
        "⟦for n in 1 to 99999⟧\n    for m in 1 to 99999\n        for k in 1 to m\n            load 1 lb on leg",
    ],
)
def test_too_many_parts_are_refused_before_any_is_made(loops: str) -> None:
    text, span = marked(f"{STOCK}{FRAME}{loops}\n")
    plan, mistakes = work_out(text)
    assert plan is None
    assert [mistake.span for mistake in mistakes] == [span]
    assert "more than 20,000 parts and joins" in mistakes[0].says


def test_just_as_many_as_are_allowed() -> None:
    text = f"{STOCK}for n in 1 to 50\n    part s_{{n}} of rail, 3 long, upright, facing front\n"
    plan, mistakes = work_out(text, most=50)
    assert mistakes == []
    assert plan is not None and len(plan.parts) == 50
    assert len(work_out(text, most=49)[1]) == 1


def test_too_many_pockets_and_cuts() -> None:
    join = "join wall.top to leg.right\n" + "    pockets 200 in back\n" * 20
    wall = "part wall of sheet, 60 long, 50 wide, upright, facing front\n"
    assert work_out(f"{STOCK}{FRAME}{wall}{join}")[1] == []
    assert "more than 20 rows" in work_out(f"{STOCK}{FRAME}{wall}{join}    pockets 1 in back\n")[1][0].says
    plan, mistakes = work_out(f"{STOCK}{FRAME}{wall}{join}", most=799)
    assert plan is None
    assert [mistake.says for mistake in mistakes] == [
        "the joins up to here come to more than 3,995 pockets: check how often they are repeated"
    ]
    part = (
        "part a of rail, 17 long, crosswise, facing front\n" + "    rabbet 1/8 x 1/8 along back top\n" * 100
    )
    assert work_out(f"{STOCK}{part}")[1] == []
    assert (
        "more than 100 cuts"
        in work_out(f"{STOCK}{FRAME}{part}    rabbet 1/8 x 1/8 along back top\n")[1][0].says
    )


PIECES = [
    *(line for line, _ in PARTS.values()),
    *(line for line, _ in JOINS.values()),
    *(line for line, _ in FOLLOW_ON.values()),
]


@given(st.lists(st.sampled_from(PIECES), max_size=12), st.randoms(use_true_random=False))
def test_any_heap_of_mistakes_is_told_and_never_breaks_the_tool(lines: list[str], luck: Random) -> None:
    text = f"{STOCK}{FRAME}" + "\n".join(lines).replace("⟦", "").replace("⟧", "") + "\n"
    letters = list(text)
    for _ in range(luck.randrange(4)):
        letters[luck.randrange(len(letters))] = luck.choice("abn_{}.,()*/-+ 019")
    text = "".join(letters)
    tree, _ = read(PlanText("bench.plan", text))
    plan, mistakes = elaborate(tree, Settings(most_items=500))
    assert mistakes == sorted(set(mistakes))
    assert all(0 <= span.start <= span.end <= len(text) and says for span, says in mistakes)
    if plan is not None:
        assert all(
            join.part_a.name in plan.part_by_name and join.part_b.name in plan.part_by_name
            for join in plan.joins
        )
        assert len({join.name for join in plan.joins}) == len(plan.joins)


@pytest.mark.parametrize(
    ("size", "says"),
    [
        ("3/4 x 5-1/2", "0.8 mm thick: are these inches? Write `unit inch` in the plan"),
        ("1-1/2 x 3-1/2", "3.5 mm wide: are these inches? Write `unit inch` in the plan"),
        ("300 x 400", "300 mm thick: no stock is so thick"),
    ],
)
def test_a_metric_plan_with_sizes_in_inches(size: str, says: str) -> None:
    _, mistakes = work_out(f'plan "x"\n    unit mm\nstock x of red oak, {size}\n')
    assert [mistake.says for mistake in mistakes] == [says]


def test_examples_for_a_metric_plan_say_that_their_lengths_are_in_inches() -> None:
    text = """\
plan "Rack"
    unit mm
stock board of pine, 19 x 200
part side of board, 500 long, upright, facing left
part shelf of board, 424 long, crosswise, facing up
join shelf.left to side.right as dado
    nails every 150
"""
    said = " ".join(each.says for each in understand(PlanText("rack.plan", text), Settings())[1])
    assert "`as dado, 3/8 in deep`" in said
    assert "`nails every 150 from 2 in to 2 in through side, 1-1/2 in long`" in said
    inches = text.replace("    unit mm\n", "").replace("150", "6").replace("19 x 200", "3/4 x 8")
    said = " ".join(each.says for each in understand(PlanText("rack.plan", inches), Settings())[1])
    assert "`as dado, 3/8 deep`" in said
    assert "`nails every 6 from 2 to 2 through side, 1-1/2 long`" in said
