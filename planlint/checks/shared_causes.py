"""What makes findings at several joints one: the same fault where parts that are alike meet alike."""

from planlint.checks.registry import By, hangs_on
from planlint.findings.finding import Finding
from planlint.findings.one_cause import BY_LOADS
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.plan import Join, Part

_BY_SCREWS = frozenset(
    {"thread-mismatch", "unstocked-screw", "short-grip", "tip-through", "into-end-grain", "thin-stock"}
)
"""Rules on the screw and the wood it bites in, however wide the parts are."""
_ALONE = frozenset({"stale-acceptance", "bare-acceptance", "unjoined"})
"""Rules whose findings are each about a line or a part of their own."""


def cause_of(piece: Piece, finding: Finding) -> str:
    """A mark that findings with one cause share, whatever the names of their parts; empty for one that stands alone."""
    if finding.rule in _ALONE:
        return ""
    join = piece.plan.join_by_name.get(finding.joint) if finding.joint else None
    parts = [piece.plan.part_by_name[name] for name in finding.parts if name in piece.plan.part_by_name]
    if finding.rule == "thin-stock" and parts:
        thin = min(parts, key=lambda part: part.thickness)
        return repr((finding.rule, thin.stock.name, str(thin.thickness)))
    exact = finding.rule == "misfit"
    if finding.rule == "stepped-face":  # One board of another thickness steps wherever it meets the others.
        join = None
    meeting: tuple[object, ...]
    if join is not None and not exact:
        meeting = _meeting(join, wide=finding.rule not in _BY_SCREWS)
        if hangs_on(finding.rule, By.SIGHT):
            # What counts is which face is seen, however many see it; left and right are images of one another.
            faces = sorted({"aside" if row.face.axis is Axis.X else row.face.value for row in join.pockets})
            return repr((finding.rule, finding.kind, int(finding.grade), meeting, faces))
    else:
        meeting = tuple(
            sorted(
                (_like(part, wide=finding.rule != "stepped-face"), exact and part.length) for part in parts
            )
        )
    axis = getattr(finding.fact, "axis", None)
    amount = None if finding.measured is None or finding.rule in BY_LOADS else round(finding.measured, 3)
    return repr((finding.rule, finding.kind, int(finding.grade), meeting, amount, axis, finding.limit))


def _meeting(join: Join, *, wide: bool) -> tuple[object, ...]:
    return (
        _like(join.part_a, wide=wide),
        join.part_a.kind_of(join.side_a),
        _like(join.part_b, wide=wide),
        join.part_b.kind_of(join.side_b),
    )


def _like(part: Part, *, wide: bool) -> tuple[str, str, str]:
    return part.stock.material.name, str(part.thickness), str(part.width) if wide else ""
