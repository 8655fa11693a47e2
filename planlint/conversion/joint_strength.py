"""What is published on the strength of the new joint.

Withdrawal of wood screws from side grain: NDS 2018, equation 12.2-2, ``W = 2850 G^2 D`` pounds per inch of thread,
an allowable value under normal load, dry; G on the oven-dry basis of NDS table 12.3.3A. Not permitted from end grain
(12.2.2.3). What 12.1.5.6 asks of a screw's reach (a limit of the rule short-grip) is written for loads across it; of
one that reaches less nothing is told here, whatever the load. The NDS was not written for furniture: the figure is
told, not promised.
"""

from planlint.geometry.piece import Piece
from planlint.model.plan import Join
from planlint.rulebook.figure_tables import figures
from planlint.rulebook.limits import NIL
from planlint.text.measures import length, weight
from planlint.text.sayings import named

NONE_OF_OLD = "no published figure was found for joints of its kind, so old and new are not compared"

BASIS = (
    "figures of the NDS are for wood screws to ANSI/ASME B18.6.1, driven square; pocket screws are of another kind, "
    "and go in aslant. So what is told is withdrawal, straight out along the thread; of a load across the screw "
    "(lateral) none is told, for no published value is for a screw aslant through a pocket"
)
"""What holds of every figure that is told of the new joints."""


def new_strength(piece: Piece, join: Join) -> str:
    """What the screws of a join hold, as far as it is published."""
    screws = piece.screws(join)
    if not screws:
        return "no screws, so nothing to compare"
    full = piece.limits.limit("short-grip", "thread for full value")
    total, unit = 0.0, piece.plan.unit
    for screw in screws:
        into = screw.pocket.into
        if into.is_end(piece.entered(screw.pocket)):
            return "the NDS gives screws in end grain no withdrawal value at all"
        grip, least = piece.grip(screw), full.value * screw.diameter
        if grip < least - NIL:
            asks = full.shop or full.source
            return (
                f"no design value is told: {asks} asks for {full.value:g} diameters of thread in the wood, "
                f"{length(least, unit)} of a No. {screw.gauge}, and {length(grip, unit)} lies in {named(into)}"
            )
        gravity = figures("strength")["wood"].get(into.stock.material.stands_for, {}).get("nds_gravity")
        if gravity is None:
            return f"no NDS figure for screws in {into.stock.material.name} is at hand"
        total += 2850 * gravity**2 * screw.diameter * grip
    many = f"{len(screws)} screws" if len(screws) > 1 else "one screw"
    wood, held = screws[0].pocket.into.stock.material.name, length(piece.grip(screws[0]), unit)
    return (
        f"{many} in {wood}: {weight(total, unit)} allowable in withdrawal (NDS 2018, {held} of thread each); "
        "lateral: none told"
    )
