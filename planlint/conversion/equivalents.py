"""Each traditional joint, what it becomes, and why its size changes. Basis: common practice, from memory."""

from typing import NamedTuple

from planlint.language.joint_table import Form


class Equivalent(NamedTuple):
    """``becomes`` is the pocket-screw joint; ``changes`` says what happens to the sizes, for the report, and ``seen``
    what people no longer see of the joint."""

    becomes: str
    changes: str
    seen: str = ""


_CUT_AT = Equivalent(
    "one part stops at the other",
    "what lay across the other part goes, and neither is cut",
    "the lap is no longer seen, only the seam where one part stops at the other",
)
_LEFT_OUT = "nothing changes in size: the {} are left out"
_NO_TAILS = "the tails are no longer seen at the corner"


EQUIVALENTS: dict[str, Equivalent] = {
    "butt": Equivalent("butt joint", "nothing changes in size"),
    "glued": Equivalent("butt joint", "nothing changes in size: glue holds next to nothing on end grain"),
    "dowels": Equivalent("butt joint", _LEFT_OUT.format("dowels and their holes")),
    "biscuits": Equivalent("butt joint", _LEFT_OUT.format("biscuits and their slots")),
    "loose spline": Equivalent("butt joint", _LEFT_OUT.format("spline and its slots")),
    "mortise and tenon": Equivalent("the tenoned part butts", "the tenon goes, and no mortise is cut"),
    "cope and stick": Equivalent(
        "frame joint", "the stub goes; the panel's groove stays where a panel lies in it"
    ),
    "half lap": _CUT_AT,
    "bridle": _CUT_AT,
    "cross lap": _CUT_AT._replace(
        becomes="one part through, the other in two", changes="what lay across the other part goes"
    ),
    "dado": Equivalent("butt against the side", "what lay in the dado goes"),
    "sliding dovetail": Equivalent("butt against the side", "the tail goes, and its socket is not cut"),
    "rabbet": Equivalent("butt of the covered part", "what lay in the rabbet goes"),
    "through dovetail": Equivalent(
        "corner butt", "what passed through the other part goes, and no tails are cut", _NO_TAILS
    ),
    "half-blind dovetail": Equivalent(
        "corner butt", "the tails go, and their sockets are not cut", _NO_TAILS
    ),
    "box joint": Equivalent(
        "corner butt",
        "the fingers go, and none are cut in the other part",
        "the fingers are no longer seen at the corner",
    ),
    "mitre": Equivalent("mitre with pockets", "nothing changes in size"),
    "splined mitre": Equivalent("mitre with pockets", _LEFT_OUT.format("spline and its slots")),
    "tongue and groove": Equivalent("edge joint", "the tongue goes"),
    "breadboard end": Equivalent("butt of the end piece", "the tongue goes, and no groove is cut for it"),
}
"""The table of what is converted; ``resting`` is no joint that screws replace, nor is ``glued`` but on end grain."""

CROSSED = (Form.LAP, Form.BRIDLE)
"""Joints in which one part lies across the other."""
