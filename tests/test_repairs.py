"""Single repairs: what they change, how they are written, and that nine of ten single faults are mended."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from planlint.findings.finding import Grade
from planlint.language.reader import read
from planlint.language.syntax_tree import Let
from planlint.repairs.edit_proof import Inspector, prove
from planlint.repairs.mended_plan import Mending
from planlint.repairs.mending import MOST_INSPECTIONS, mend
from planlint.repairs.proposals import PROPOSALS
from planlint.repairs.written_lengths import changed_sum, spelt
from planlint.text.source import PlanText
from tests.faults import EVERYWHERE, faulty_in_part, sound_plans
from tests.test_mend import check

FRAME = """\
plan "Frame"
    seen from front

let stile = 2-1/2
stock wood of cherry, 3/4 x 2-1/2
part stile_l, stile_r of wood, 30 long, upright, facing front
part rail_t, rail_b of wood, 13 long, crosswise, facing front
join rail_t.left to stile_l.right
    flush top, front
    pockets 2 in back
    screws fine 1-1/4
join rail_t.right to stile_r.left
    flush top, front
    pockets 2 in back
    screws fine 1-1/4
join rail_b.left to stile_l.right
    flush bottom, front
    pockets 2 in back
    screws fine 1-1/4
join rail_b.right to stile_r.left
    flush bottom, front
    pockets 2 in back
    screws fine 1-1/4
"""


def mended(text: str) -> Mending:
    return mend(PlanText("frame.plan", text))


def changed_lines(mending: Mending) -> list[tuple[str, str]]:
    """Lines before and after, where no line was put in or taken out."""
    old, new = mending.before.source.text.split("\n"), mending.source.text.split("\n")
    return [(a, b) for a, b in zip(old, new, strict=True) if a != b]


def faulted(old: str, new: str, times: int = 1) -> Mending:
    assert FRAME.count(old) >= times
    return mended(FRAME.replace(old, new, times))


# ---------------------------------------------------------------- the smallest change, as the builder writes


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("pockets 2 in back", "pockets 1 in back", "    pockets 2 in back"),
        ("pockets 2 in back", "pockets  1  in back   # one", "    pockets  2  in back   # one"),
        ("pockets 2 in back", "pockets at 1/4, 1-3/4 from top in back", "    pockets at 3/8, 1-3/4 from top in back"),
        ("pockets 2 in back", "pockets at 1-3/4, 1/4 from top in back", "    pockets at 1-3/4, 3/8 from top in back"),
        ("pockets 2 in back", "pockets at 1, 1.4 from top in back", "    pockets at 1, 1.625 from top in back"),
        ("pockets 2 in back", "pockets 2 in stile_l.back", "    pockets 2 in back"),
        ("pockets 2 in back", "pockets 2 in front", "    pockets 2 in back"),
        ("screws fine 1-1/4", "screws coarse 1-1/4", "    screws fine 1-1/4"),
        ("screws fine 1-1/4", "screws fine 1-1/8 gauge 7", "    screws fine 1-1/4 gauge 7"),
        ("screws fine 1-1/4", 'screws fine 3"', '    screws fine 1-1/4"'),
        ("screws fine 1-1/4", "screws fine 75 mm", "    screws fine 32 mm"),
        ("30 long, upright", "30 long, 5/8 thick, upright", None),
    ],
)  # fmt: skip
def test_smallest_change(old: str, new: str, line: str | None) -> None:
    mending = faulted(old, new)
    assert mending.before.findings
    assert mending.after.sound, mending.after.findings
    if line is not None:
        assert [after for _, after in changed_lines(mending)] == [line]


@pytest.mark.parametrize(
    ("piece", "line"),
    [
        ("f_loop_step_too_wide", "        (n - 1) * 76 + 6 from front"),
        ("f_loop_one_too_many", "for n in 1 to 9"),
        ("f_shelf_told_like_the_nailer", "join shelf.right to side_r.left like shelf.left"),
        ("f_nailer_joined_to_the_near_side", "join nailer.right to side_r.left like nailer.left"),
        ("f_image_without_its_joins", "part leg_br mirrors leg_bl, with its joins"),
    ],
)
def test_what_was_copied_and_not_changed_is_mended_in_its_own_line(piece: str, line: str) -> None:
    mending = mended((Path(__file__).parent / "pieces" / f"{piece}.plan").read_text("utf-8"))
    assert mending.after.sound, mending.after.findings
    assert [after for _, after in changed_lines(mending)] == [line]


def test_length_that_closes_the_frame() -> None:
    mending = faulted("13 long", "13-1/4 long", 1).before
    assert mending.sound  # Both rails alike close it at another width: nothing to mend.
    apart = FRAME.replace("rail_t, rail_b of wood, 13 long", "rail_t of wood, 13-1/8 long").replace(
        "join rail_t.left", "part rail_b of wood, 13 long, crosswise, facing front\njoin rail_t.left", 1
    )
    closed = mended(apart)
    assert closed.before.findings[0].rule == "misfit"
    assert closed.after.sound
    assert len(changed_lines(closed)) == 1


def test_a_square_stretcher_is_cut_to_the_tapers_that_it_meets() -> None:
    """Between two legs that taper by 3/4 in over 19 in it is 20 in + 2 x 3/4 in x 15/19 long at its bottom."""
    text = """\
plan "Side table"
    seen from nowhere
stock leg of white oak, 1-3/4 x 1-3/4
stock board of white oak, 3/4 x 3
part leg_l of leg, 24 long, upright, facing front
    taper right, front to 1 at bottom, 5 from top
part leg_r mirrors leg_l
part apron of board, 20 long, crosswise, facing front
part low of board, 20 long, 1-1/2 wide, crosswise, facing front
join apron.left, apron.right to leg_l.right, leg_r.left
    flush top
    set back 1/4 from front
    pockets 2 in back
    screws fine 1-1/4
join low.left, low.right to leg_l.right, leg_r.left
    4 from bottom
    set back 1/4 from front
    as dowels
"""
    done = mended(text)
    assert done.after.sound
    [(_, line)] = changed_lines(done)
    assert "21-3/16 long" in line
    assert "left end cut 2.2605, long at bottom, right end cut 2.2605, long at bottom" in line


def test_shared_statement_is_told() -> None:
    """One line stands for several joints: the change says which others it changes."""
    loop = FRAME + "for n in 1 to 3\n    part slat_{n} of wood, 13 long, crosswise, facing front\n"
    for end, side, count in (("left", "stile_l.right", 1), ("right", "stile_r.left", 2)):
        loop += f"    join slat_{{n}}.{end} to {side}\n        5 * n from bottom\n        flush front\n"
        loop += f"        pockets {count} in back\n"
    mending = mended(loop)
    assert {finding.rule for finding in mending.before.findings} == {"lone-screw"}
    assert mending.after.sound
    (_, _, change), *more = mending.changes
    assert not more
    assert {finding.joint for finding in change.findings} == {f"slat_{n}.left" for n in (1, 2, 3)}
    one = mend(PlanText("", loop), wanted=lambda finding: finding.joint == "slat_2.left")
    (_, _, change), *more = one.changes
    assert change.also == ("slat_1.left", "slat_3.left")
    assert one.after.sound


def test_part_like_another_is_told() -> None:
    """A part that is like the one made shorter gets shorter with it: the change says so, and is right for both."""
    text = FRAME.replace(
        "part rail_t, rail_b of wood, 13 long, crosswise, facing front\n",
        "part rail_m, rail_n, rail_o of wood, 13 long, crosswise, facing front\n"
        "part rail_t of wood, 13-1/4 long, crosswise, facing front\npart rail_b like rail_t\n",
    )
    for rail, height in (("m", 7), ("n", 14), ("o", 21)):
        for end, side in (("left", "stile_l.right"), ("right", "stile_r.left")):
            text += f"join rail_{rail}.{end} to {side}\n    {height} from bottom\n    flush front\n"
            text += "    pockets 2 in back\n    screws fine 1-1/4\n"
    mending = mended(text)
    assert {finding.rule for finding in mending.before.findings} == {"misfit"}
    assert mending.after.sound
    ((_, _, change),) = mending.changes
    told = {name for finding in change.findings for name in (finding.joint, *finding.parts)}
    assert "rail_b" in told.union(change.also)
    assert "part rail_t of wood, 13 long" in mending.source.text


def test_part_gets_its_own_statement() -> None:
    """Three parts of one statement, and only one of them is too long: the other two keep their words."""
    text = (
        FRAME.replace("rail_t, rail_b of", "rail_t, rail_m, rail_b of")
        + """\
stock strip of cherry, 3/4 x 3/4
part block of strip, 5 long, upright, facing left
join block.right to stile_r.left as glued
    flush front
    9 from bottom
join rail_m.left to stile_l.right as dowels, 3/8 thick
    flush front
    10 from bottom
join rail_m.right to block.left as dowels, 3/8 thick
    flush front
"""
    )
    mending = mended(text)
    assert [finding.rule for finding in mending.before.findings] == ["misfit"]
    assert mending.after.sound
    ((_, _, change),) = mending.changes
    assert change.also == (), "rail_t and rail_b keep their words"
    parts = "of wood, {} long, crosswise, facing front\n"
    assert (
        f"part rail_t, rail_b {parts.format(13)}part rail_m {parts.format('12-1/4')}" in mending.source.text
    )


def test_most_fellows_win() -> None:
    """Three rails of one length and one of another: the one is wrong."""
    text = FRAME.replace("rail_t, rail_b of", "rail_t, rail_b, rail_m of").replace(
        "join rail_t.left",
        "part rail_n of wood, 13-1/2 long, crosswise, facing front    # new\njoin rail_t.left",
        1,
    )
    for name, up in (("rail_m", 10), ("rail_n", 15)):
        for end, side in (("left", "stile_l.right"), ("right", "stile_r.left")):
            text += (
                f"join {name}.{end} to {side}\n    {up} from bottom\n    flush front\n    pockets 2 in back\n"
            )
    mending = mended(text)
    assert mending.after.sound
    now, then = (
        f"part rail_n of wood, {size} long, crosswise, facing front    # new" for size in ("13-1/2", 13)
    )
    assert changed_lines(mending) == [(now, then)]


def test_comment_behind_a_line_taken_out_stays() -> None:
    mending = mended(FRAME + 'accept lone-screw on rail_t.left because "once"  # ask Ann\n')
    assert mending.source.text == FRAME + "# ask Ann\n"


def test_line_taken_out_at_the_end() -> None:
    mending = mended(FRAME + 'accept lone-screw on rail_t.left because "once"')
    assert mending.source.text == FRAME.rstrip("\n")


def test_narrowed_by_rule_and_joint() -> None:
    text = FRAME.replace("pockets 2", "pockets 1", 2).replace("screws fine 1-1/4", "screws coarse 1-1/4", 1)
    only = mend(PlanText("", text), wanted=lambda each: each.joint == "rail_t.right")
    assert [finding.joint for finding in only.after.findings] == ["rail_t.left", "rail_t.left"]
    only = mend(PlanText("", text), wanted=lambda each: each.rule == "thread-mismatch")
    assert {finding.rule for finding in only.after.findings} == {"lone-screw"}


def test_plan_that_cannot_be_read_is_left() -> None:
    mending = mended(FRAME + "join rail_t.top to\n")
    assert not mending.steps
    assert mending.source.text == mending.before.source.text
    assert mending.inspections == 1


def test_every_repair_is_of_a_rule() -> None:
    from planlint.findings.rules_in_force import rule_book  # noqa: PLC0415

    assert set(PROPOSALS) <= set(rule_book())
    missing = set(rule_book()) - set(PROPOSALS)
    assert "unknown-wood" in missing  # Only the builder knows what was meant.
    assert len(missing) <= 8


# ---------------------------------------------------------------- lengths


@pytest.mark.parametrize(
    ("inches", "unit", "like", "words"),
    [
        ("7/8", "in", "", "7/8"),
        ("5/2", "in", "3", "2-1/2"),
        ("5/2", "in", "1 1/2", "2 1/2"),
        ("5/2", "in", "1.25", "2.5"),
        ("5/2", "in", '1-1/2"', '2-1/2"'),
        ("5/2", "in", "1-1/2 in", "2-1/2 in"),
        ("5/2", "mm", "1 in", "2-1/2 in"),
        ("5/2", "ft", "", "2-1/2 in"),
        ("5/2", "ft", "2 ft", "2-1/2 in"),
        ("12", "m", "", "304.8 mm"),
        ("-1/4", "in", "", "-1/4"),
        ("1/3", "in", "", "0.3333"),
        ("750/254", "mm", "", "75"),
        ("755/254", "mm", "", "75.5"),
        ("755/254", "cm", "", "7.55"),
        ("750/254", "in", "20mm", "75mm"),
    ],
)
def test_lengths_as_the_plan_writes_them(inches: str, unit: str, like: str, words: str) -> None:
    assert spelt(Fraction(inches), unit, like) == words


@pytest.mark.parametrize(
    ("said", "by", "words"),
    [
        ("13", "1/4", "13-1/4"),
        ("13 + 1/4", "-1/4", "13"),
        ("wide - 2 * leg", "1/4", "wide - 2 * leg + 1/4"),
        ("wide - 2", "1/4", "wide - 1-3/4"),
        ("wide - 2", "3", "wide + 1"),
        ("wide", "-1/2", "wide - 1/2"),
        ("(wide + 1)", "1", "(wide + 1) + 1"),
        ("1 ft", "1/2", "12-1/2 in"),
        ("2", "-2", None),
    ],
)
def test_sums(said: str, by: str, words: str | None) -> None:
    line = f"let long_one = {said}"
    node = read(PlanText("", line))[0].statements[0].node
    assert isinstance(node, Let)
    assert changed_sum(node.value, line, Fraction(by), "in") == words


@pytest.mark.parametrize(
    "end", ["left to side_l.right as dado, housed deep", "as dado, housed deep\n        3"]
)
def test_a_distance_that_a_loop_says_is_changed_where_its_cuts_are_not(end: str) -> None:
    """Three shelves a quarter of an inch off at one end: one line is changed, not three dados."""
    text = next(each for each in sound_plans() if each.stem == "dadoed-shelves").read_text(encoding="utf-8")
    before, after = text.split(end, 1)
    wrong = before + end + after.replace("step from bottom", "step + 1/4 from bottom", 1)
    mending = mend(PlanText("shelves.plan", wrong))
    assert [each.rule for each in mending.before.findings if each.grade is Grade.STOP] == ["misfit"] * 3
    assert mending.source.text == text


# ---------------------------------------------------------------- nine of ten


def needless(mending: Mending) -> list[str]:
    """The changes without which the others of their step take all the same away; of many alike a few are tried."""
    found = []
    for step in mending.steps:
        bench, many = Inspector(), len(step.changes)
        for change in step.changes[:: 1 if EVERYWHERE else 1 + many // 6] if many > 1 else ():
            edits = [edit for each in step.changes if each is not change for edit in each.edits]
            proof = prove(bench, step.before, edits)
            if proof.clean and {each.identity for each in change.findings} - {*proof.left}:
                found.append(change.repair.says)
    return found


@pytest.mark.parametrize("plan", sound_plans(), ids=lambda plan: plan.stem)
def test_nine_of_ten_single_faults_are_mended(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Some faults (``EVERYWHERE``: all), mended unasked or by a question's first choice; each costs no more than half
    the inspections that it may."""
    tried = whole = asked = most = 0
    left = []
    for kind, source in faulty_in_part(plan):
        mending = mend(source)
        if not mending.before.whole or not mending.before.findings:
            continue
        check(mending)
        if plan.stem in {"apron-table", "bookcase", "picture-frame"}:
            assert needless(mending) == [], kind
        tried += 1
        whole += mending.after.sound
        most = max(most, mending.inspections)
        if not mending.after.sound:
            left.append(source)
    if EVERYWHERE or whole < 0.9 * tried:
        asked = sum(mend(source, asked=True).after.sound for source in left)
    with capsys.disabled():
        print(
            f"\n{plan.stem}: {whole} of {tried} single faults mended, {asked} asked, {most} inspections at most"
        )
    whole += asked
    assert tried >= (5 if EVERYWHERE else 2)
    assert whole >= 0.9 * tried or (not EVERYWHERE and whole == tried - 1)
    assert most <= MOST_INSPECTIONS // 2
