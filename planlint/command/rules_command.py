"""``planlint rules``: the rules in a list, or one of them in full."""

import argparse

from planlint.command.usage_error import CallWrong, call_word, nearest_or
from planlint.inspection.plan_files import STANDARD_INPUT
from planlint.plugins.own_rules import every_rule, own_rules
from planlint.reports.page_layout import Page
from planlint.reports.rule_catalogue import write_catalogue, write_rule, write_unusable
from planlint.rulebook.limits import Limits
from planlint.settings.layered_settings import SettingsBroken, Shop


def add_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", metavar="NAME", nargs="?", help="the rule to tell in full")
    parser.add_argument("--cases", action="store_true", help="with NAME: also tell its worked cases")
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    rules, faults = every_rule(), dict(own_rules().faults)
    if call.name is None:
        if call.cases:
            raise CallWrong("--cases needs the name of a rule")
        write_catalogue(Page(), rules, faults.items())
    elif call.name in rules:
        write_rule(Page(), rules[call.name], _limits_here(), cases=call.cases)
    elif call.name in faults:
        write_unusable(Page(), call.name, faults[call.name])
        return 2
    else:
        hint = nearest_or(call.name, [*rules, *faults], "`planlint rules` lists them")
        raise CallWrong(f"there is no rule {call_word(call.name)}; {hint}")
    return 0


def _limits_here() -> Limits:
    """The limits in force in the current folder; the rules' own where its settings have mistakes in them."""
    try:
        return Shop().in_force(STANDARD_INPUT).settings.limits
    except SettingsBroken:
        return Limits()
