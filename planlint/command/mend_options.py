"""``planlint mend | tidy``: their words on the command line."""

from __future__ import annotations

import argparse
import os
from typing import TYPE_CHECKING

from planlint.command.change_page import check_page_file, page_file
from planlint.command.inspect_options import CHANGING, add_most_seconds, add_plans
from planlint.command.usage_error import CallWrong
from planlint.model.nearest_name import nearest

if TYPE_CHECKING:
    from planlint.command.usage_error import Commands, OneOf

FORMS = ("text", "json", "patch")


def add_mend(commands: Commands, one_of: OneOf) -> None:
    parser = commands.add_parser("mend", help="repair plans, as far as that is sure to be right")
    add_plans(parser)
    parser.add_argument("--all", action="store_true", help="make every sure repair without asking")
    parser.add_argument("--show", action="store_true", help="show the repairs and write nothing")
    parser.add_argument("--rule", metavar="NAME", help="only what this rule finds")
    parser.add_argument("--joint", metavar="NAME", help="only what is found at this joint or part")
    parser.add_argument(
        "--as",
        dest="form",
        metavar="FORM",
        default="text",
        type=one_of(*FORMS),
        help=f"{', '.join(FORMS)}; a patch is a unified diff, and no plan is written",
    )
    parser.add_argument(
        "--write",
        metavar="page=FILE",
        type=page_file,
        help="also draw the piece before and after, on a page written to a file; for one plan",
    )
    add_most_seconds(parser, CHANGING)
    parser.set_defaults(run=_mend)


def add_tidy(commands: Commands) -> None:
    parser = commands.add_parser("tidy", help="give plans one layout; what they say stays as it is")
    add_plans(parser)
    parser.add_argument(
        "--check", action="store_true", help="write nothing; the exit status is 1 if a plan is not tidy"
    )
    parser.set_defaults(run=_tidy)


def _mend(call: argparse.Namespace) -> int:
    from planlint.command.mend_command import Wish, mend_paths  # noqa: PLC0415
    from planlint.findings.rulebook import rule_book  # noqa: PLC0415

    if call.form == "patch" and call.all:
        raise CallWrong("--as patch writes no plan: leave --all away, and give the patch to `git apply`")
    if call.write:
        if len(call.plans) != 1 or os.path.isdir(call.plans[0]):  # noqa: PTH112
            raise CallWrong("--write page=FILE draws one plan: say which")
        check_page_file(call.write, call.plans[0])
    if call.all and call.show:
        raise CallWrong("--all writes and --show does not: leave one of the two away")
    if call.rule is not None and call.rule not in rule_book():
        near = nearest(call.rule, rule_book())
        raise CallWrong(
            f"there is no rule {call.rule[:60]!a}; "
            + (f"the nearest is {near}" if near else "`planlint rules` lists them")
        )
    wish = Wish(call.form, call.all, call.show, call.rule, call.joint, call.write, call.most_seconds)
    return mend_paths(call.plans, wish)


def _tidy(call: argparse.Namespace) -> int:
    from planlint.command.tidy_command import tidy_paths  # noqa: PLC0415

    return tidy_paths(call.plans, check=call.check)
