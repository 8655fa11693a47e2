"""The report of a conversion, joint by joint: what changed and why, the ways tried, what stays and why."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from planlint.conversion.conversion_result import Conversion, Converted
from planlint.conversion.drilling_trials import Drilled, Trial
from planlint.conversion.joint_strength import BASIS
from planlint.findings.finding import Finding, Grade
from planlint.model.plan import Part
from planlint.reports.line_difference import write_difference
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import path_words, sentence, visible
from planlint.reports.text_report import write_unread
from planlint.text.grouping import grouped
from planlint.text.measures import by_rule, listed
from planlint.text.sayings import Saying, merged, named
from planlint.wording.row_words import screw_length


def write_conversion(
    page: Page, conversion: Conversion, written: str | None, *, explain: bool = False
) -> None:
    """The whole report; ``written`` is the file that now holds the new text, if any.

    What is cut and bought otherwise comes first, then the joints, those alike once with their number; with ``explain``
    also the other ways that were tried.
    """
    before = conversion.before
    plan = before.piece.plan if before is not None and before.piece is not None else None
    page.heading(path_words(conversion.source.path), visible(plan.title if plan else ""))
    heads = ("NOT CONVERTED", "NOT CONVERTED")
    write_unread(page, conversion.source, conversion.unread, conversion.troubles, heads)
    _write_bench(page, conversion)
    for group in _alike(conversion):
        page.blank()
        names = ", ".join(visible(joint.joint) for joint in group)
        page.heading(f"{len(group)} joints alike: {names}" if len(group) > 1 else f"Joint {names}")
        _write_joints(page, conversion, group, explain=explain)
    if conversion.elsewhere and conversion.changed:
        page.blank()
        known = {(each.rule, frozenset(each.parts)) for each in (before.findings if before else ())}
        for words, again in (("Elsewhere in the new plan", False), ("Found before as well", True)):
            found = [
                each
                for each in conversion.elsewhere
                if (_told_of(each, conversion.cut_from) in known) is again
            ]
            if found:
                page.heading(words)
                _write_findings(page, found)
    _write_strength(page, conversion)
    _write_lines(page, conversion)
    _write_users(page, conversion)
    page.blank()
    page.prose(_summary(conversion, written), style="bold")
    page.flush()


def _told_of(found: Finding, cut_from: Mapping[str, str]) -> tuple[str, frozenset[str]]:
    """The rule, and the parts as the old plan has them: of which one may be two now."""
    return found.rule, frozenset(cut_from.get(each, each) for each in found.parts)


def _write_strength(page: Page, conversion: Conversion) -> None:
    """What holds of every figure, said once: nothing that is published compares the old joints with the new."""
    kinds = dict.fromkeys(joint.kind for joint in conversion.joints if joint.strength)
    if kinds:
        page.blank()
        page.heading("What is known of strength")
        old = f"no published figure was found for the old joints ({', '.join(kinds)}), so old and new are not compared"
        page.prose(sentence(old), indent=2)
        known = grouped(
            (joint.strength.shape, (joint.joint, joint.strength))
            for joint in conversion.joints
            if joint.strength
        )
        for told in known.values():
            (name, words), more = told[0], len(told) - 1
            others = f" and {more} {'others' if more > 1 else 'other'}" if more else ""
            page.prose(f"{visible(name)}{others}: {words}.", indent=2)
        page.prose(sentence(BASIS), indent=2)


def _write_users(page: Page, conversion: Conversion) -> None:
    """What the new text brings upon the plans that use the file."""
    for user in conversion.users:
        page.blank()
        page.heading(f"In {visible(user.path)}, which uses it")
        for mistake in user.unread:
            page.graded("NOT READ", "", style="bold magenta")
            page.prose(sentence(mistake.says), indent=4)
        _write_findings(page, user.new)
        if not user.unread and not user.new:
            page.prose("Nothing is found that was not found before.", indent=2)


def _write_bench(page: Page, conversion: Conversion) -> None:
    """What is cut otherwise, and what is to be bought."""
    before, after = (each.piece if each else None for each in (conversion.before, conversion.after))
    if not conversion.changed or before is None or after is None:
        return
    page.blank()
    page.heading("At the bench")
    unit = conversion.unit
    old = before.plan.part_by_name
    sizes: dict[str, list[str]] = {}
    left_out: dict[str, list[str]] = {}
    for part in after.plan.parts:
        was = old.get(part.name)
        words = _resized(part, was, conversion.cut_from, unit)
        if words:
            sizes.setdefault(words, []).append(part.name)
        gone = Counter(cut.kind for cut in was.removals) if was is not None else Counter()
        gone -= Counter(cut.kind for cut in part.removals)
        if gone:
            cuts = [f"{count} {kind}{'s' if count > 1 else ''}" for kind, count in sorted(gone.items())]
            left_out.setdefault(listed(cuts), []).append(part.name)
    for words, names in sizes.items():
        page.labelled("Cut", f"{_names(names)}: {words}")
    stopped = (each.cut for joint in conversion.joints for each in joint.changes if each.cut)
    for words in merged(stopped):
        page.labelled("Cut", sentence(words))
    for words, names in left_out.items():
        every = "each of " if len(names) > 1 else ""
        page.labelled("Omit", f"In {every}{_names(names)}: {words}, which only these joints used")
    drilled = [each for joint in conversion.joints for each in joint.drilled]
    screws = Counter(
        f"{screw.thread} {screw_length(screw.length, unit)}"
        for each in drilled
        for screw in after.screws(after.plan.join_by_name[each.join.name])
    )
    if screws:
        page.labelled("Screws", ", ".join(f"{count} of {words}" for words, count in sorted(screws.items())))
    plugs = sum(each.taken.choice.count for each in drilled if each.taken.choice.plugged)
    if plugs:
        page.labelled("Plugs", str(plugs))


def _resized(part: Part, was: Part | None, cut_from: Mapping[str, str], unit: str) -> str:
    """The measures of a part that are others now; all of one that is a piece of another."""
    now = ((part.length, "long"), (part.width, "wide"), (part.thickness, "thick"))
    if was is None:
        sizes = ", ".join(f"{by_rule(size, unit)} {word}" for size, word in now[:2])
        return f"{sizes}, out of {cut_from[part.name]}"
    than = (was.length, was.width, was.thickness)
    return ", ".join(
        f"{by_rule(size, unit)} {word} instead of {by_rule(old, unit)}"
        for (size, word), old in zip(now, than, strict=True)
        if size != old
    )


def _names(names: Sequence[str]) -> str:
    return listed([visible(name) for name in names], len(names))


def _alike(conversion: Conversion) -> list[list[Converted]]:
    """Joints of which the same is told but for the names of their parts, in the order of the first of each."""
    groups: dict[tuple[object, ...], list[Converted]] = {}
    for joint in conversion.joints:
        drilled = tuple(
            (each.taken.choice.count, each.taken.choice.plugged, _graver(each.taken.findings))
            for each in joint.drilled
        )
        left = _graver(joint.left)
        key = (
            joint.was,
            joint.becomes,
            joint.refused.shape,
            joint.screws,
            drilled,
            left,
            bool(joint.outside),
        )
        groups.setdefault(key, []).append(joint)
    return list(groups.values())


def _graver(findings: Iterable[Finding]) -> tuple[str, ...]:
    """The rules of findings that set a joint apart from others: an advice does not."""
    return tuple(each.rule for each in findings if each.grade is not Grade.ADVICE)


def _write_joints(page: Page, conversion: Conversion, group: list[Converted], *, explain: bool) -> None:
    """Joints of which the same is told; what names their parts, for each of them."""
    first = group[0]
    lines = [conversion.source.position(joint.span.start).line for joint in group]
    where = ", ".join(map(str, dict.fromkeys(lines)))
    page.labelled("Was", f"{first.was} (line{'s' if len(set(lines)) > 1 else ''} {where})")
    if first.refused:
        page.labelled("Stays", sentence(first.refused, first.refused.names), style="bold")
        for offer in merged(offer for joint in group for offer in joint.offers):
            page.labelled("Instead", sentence(offer))
        return
    page.labelled("Becomes", first.becomes, style="bold")
    for change in merged(_changes(group, explain=explain)):
        page.labelled("Size", sentence(change, change.names))
    for change in merged(change for joint in group for change in joint.outside):
        page.labelled("Outside", sentence(change, change.names), style="bold")
    _write_drilling(page, conversion, group, explain=explain)
    if first.screws:
        page.labelled("Screws", first.screws)
    _write_findings(page, [each for joint in group for each in joint.left])


def _write_findings(page: Page, findings: Iterable[Finding]) -> None:
    """Findings of one cause are told once."""
    alike = grouped((each.cause or each.identity, each) for each in findings)
    for found in alike.values():
        _write_finding(page, found[0])
        if len(found) > 1:
            places = [each.joint or " with ".join(each.parts) for each in found[1:]]
            page.prose(f"The same at {listed([visible(place) for place in places])}.", indent=4)


def _changes(group: list[Converted], *, explain: bool) -> Iterator[Saying]:
    """What changes at joints alike: that parts get shorter is told of the first, and of each part at the bench, as
    what becomes of its cuts is."""
    for place, joint in enumerate(group):
        for change in joint.changes:
            cut = change.kind in {"stopped", "gone"}
            if explain or (not cut and (not place or change.kind == "curve")):
                yield change.says


def _write_drilling(page: Page, conversion: Conversion, group: list[Converted], *, explain: bool) -> None:
    every = [each for joint in group for each in joint.drilled]
    ways: dict[Saying, Drilled] = {}
    for each in every:
        joint = f"{each.join.name}: " if len(group) == 1 and len(every) > 1 else ""
        ways.setdefault(Saying(f"{joint}{_way(each.taken, conversion.unit, explain=explain)}"), each)
    for words in ways if explain else merged(ways):
        page.labelled("Drill", sentence(words))
        for trial in ways[words].tried if explain else ():
            if trial is not ways[words].taken:
                page.labelled("Or", sentence(Saying(_way(trial, conversion.unit, explain=True))))
    untried = sum(each.untried for each in every)
    if untried:
        page.labelled("", sentence(f"{untried} other ways were not tried: the search was broken off"))
    if not ways:
        page.labelled("Drill", "The pockets that the plan has already.")


def _write_finding(page: Page, finding: Finding) -> None:
    page.graded(finding.grade.word.upper(), finding.rule, style="bold")
    page.prose(sentence(finding.says, finding.parts), indent=4)


def _way(trial: Trial, unit: str, *, explain: bool) -> str:
    """What is drilled; what is found of it is told by itself, but of ways that are told beside it."""
    words = trial.choice.words(named(trial.part), unit)
    return f"{words}: {_cost(trial)}" if explain else words


def _cost(trial: Trial) -> str:
    """What the rules say of one way to drill a joint."""
    counted: dict[str, int] = {}
    for finding in trial.findings:
        words = f"{finding.rule} ({finding.grade.word})"
        counted[words] = counted.get(words, 0) + 1
    told = ", ".join(f"{words} {count} times" if count > 1 else words for words, count in counted.items())
    plugs = (
        f"{trial.choice.count} plug{'' if trial.choice.count == 1 else 's'} to make"
        if trial.choice.plugged
        else ""
    )
    return told or plugs or "clean"


def _write_lines(page: Page, conversion: Conversion) -> None:
    """The lines of the plan that change, as they are and as they become."""
    if not conversion.changed:
        return
    page.blank()
    page.heading("The plan's lines")
    lines = conversion.source.text.splitlines()
    told = -1
    for line, now, then in changed_lines(conversion):
        # The statement that the lines are details of, where it is not among them.
        head = line - 1
        while head < len(lines) and (not lines[head].strip() or lines[head][:1] in {" ", "#"}):
            head -= 1
        if head != told and head < line - 1:
            page.prose(f"In line {head + 1}, {lines[head].strip()}:", indent=2)
        told = head
        write_difference(page, line, now, then, room=len(f"after line {len(lines)}"))


def changed_lines(conversion: Conversion) -> Iterator[tuple[int, list[str], list[str]]]:
    """Stretches of lines that differ: the number of the first in the old text, the old lines, the new ones."""
    from difflib import SequenceMatcher  # noqa: PLC0415 - only where a plan changes

    old, new = (text.text.splitlines() for text in (conversion.source, conversion.result))
    for tag, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag != "equal":
            yield a + 1, old[a:b], new[c:d]


def _summary(conversion: Conversion, written: str | None) -> str:
    done = sum(not joint.refused for joint in conversion.joints)
    stay = len(conversion.joints) - done
    if conversion.unread or conversion.troubles:
        return "Nothing was converted."
    if conversion.waits_for_users:
        return (
            "The traditional joints of this file stand in assemblies that it places nowhere. Convert them as a plan "
            f"places them that uses it: planlint convert {visible(conversion.source.path)} --placed-in THAT.plan"
        )
    if not conversion.joints:
        return "There is no traditional joint to convert."
    words = f"{done} joint{'' if done == 1 else 's'} converted"
    words += f", {stay} left as {'it is' if stay == 1 else 'they are'}" if stay else ""
    if written is not None:
        return f"{words}; the new plan is in {visible(written)}."
    return (
        f"{words}; nothing was written: add --to FILE or --in-place." if conversion.changed else f"{words}."
    )
