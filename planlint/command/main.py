"""``planlint COMMAND …``: what the builder types, and the exit status.

0 clean, 1 something found, 2 a plan could not be read or inspected whole, or the call is wrong; a run that
is broken off ends with 130 (Ctrl-C), 143 (it was asked to end) or 141 (nobody reads its output any more).
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any, NoReturn

from planlint import __version__
from planlint.budget.own_threads import one_thread
from planlint.command.inspect_options import add_inspect, add_join, add_ledger
from planlint.command.told_beside import tell
from planlint.command.usage_error import CallWrong
from planlint.model.nearest_name import nearest
from planlint.rulebook.limits import Limits
from planlint.text.system_words import refused_by_system

OK, FOUND, NOT_READ, STOPPED, NO_READER, ENDED = 0, 1, 2, 130, 141, 143


class _Ended(KeyboardInterrupt):
    """Somebody asked this process to end."""


class _Parser(argparse.ArgumentParser):
    """Options are told in full; those of the command that was called are among what is read."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**more, allow_abbrev=False)

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> tuple[Any, list[str]]:
        found, unknown = super().parse_known_args(args, namespace)
        if "options" not in found:  # Else it is a command of this one that was called.
            found.options = [each for each in self._option_string_actions if each.startswith("--")]
        return found, unknown

    def error(self, message: str) -> NoReturn:
        missing = message.removeprefix("the following arguments are required: ")
        if missing != message:
            raise CallWrong(f"{missing} is missing behind `{self.prog}`; see {self.prog} --help")
        message = message.removeprefix("argument ")
        raise CallWrong(message.replace(": expected one argument", " needs a word behind it"))


def main(argv: list[str] | None = None) -> int:
    """Run the command line; returns the exit status."""
    words = sys.argv[1:] if argv is None else argv
    one_thread()
    # A run makes many small objects that live until its end: looking for rings of garbage among them is time lost.
    gc.set_threshold(200_000, 20, 20)
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:  # Closed by whoever called: no other file may take its place.
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115, PTH123
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        with _heed_the_end():
            status = _run(words)
            sys.stdout.flush()
    except CallWrong as problem:
        tell(str(problem))
        status = NOT_READ
    except KeyboardInterrupt as stop:
        print("planlint: stopped before the end", file=sys.stderr)
        status = ENDED if isinstance(stop, _Ended) else STOPPED
    except BrokenPipeError:
        _drop_output()
        status = NO_READER
    except OSError as problem:
        _drop_output()
        tell(f"the report cannot be written: {refused_by_system(problem)}")
        status = NOT_READ
    except Exception as problem:
        from planlint.inspection.inspection_result import our_fault  # noqa: PLC0415 - should never be needed

        tell(our_fault("this run", problem).says)
        status = NOT_READ
    return status


@contextmanager
def _heed_the_end() -> Iterator[None]:
    """A process that is asked to end does so as with Ctrl-C: what it learnt is kept, and no process stays behind."""
    import signal  # noqa: PLC0415

    def end(_number: int, _frame: object) -> NoReturn:
        raise _Ended

    try:
        before = signal.signal(signal.SIGTERM, end)
    except ValueError:  # Not the main thread.
        yield
        return
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _drop_output() -> None:
    """Nobody can take the report any more: what is still held back must not fail again when the program ends."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


def _run(words: list[str]) -> int:
    parser, commands = _parser(words)
    if not words:
        parser.print_help(sys.stderr)
        return NOT_READ
    if not words[0].startswith("-") and words[0] not in commands:
        raise CallWrong(_no_such_command(words[0], commands))
    if any(not word or (word.startswith("--") and word.endswith("=")) for word in words):
        raise CallWrong(
            f"an empty word stands in the call of `{words[0]}`: is it a variable that has no value?"
        )
    try:
        known, unknown = parser.parse_known_args(words)
    except SystemExit as end:  # argparse leaves this way after --help and --version
        return end.code if isinstance(end.code, int) else OK
    if unknown:
        raise CallWrong(_no_such_option(unknown[0], known.options, words[0]))
    run: Callable[[argparse.Namespace], int] = known.run
    return run(known)


def _parser(words: list[str]) -> tuple[_Parser, tuple[str, ...]]:
    """The reader of a command line, and the names of the commands."""
    parser = _Parser(
        prog="planlint",
        description="Finds what is wrong in a furniture plan joined with pocket screws, before timber is cut.",
        epilog="Exit status: 0 clean, 1 something found, 2 a plan could not be read or the call is wrong.",
    )
    parser.add_argument("--version", action="version", version=f"planlint {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    add_inspect(commands, _one_of)
    # The usual run: setting up the others takes longer than reading a small plan.
    if words[:1] == ["inspect"]:
        return parser, tuple(commands.choices)
    from planlint.command.convert_command import add_convert  # noqa: PLC0415
    from planlint.command.draft_command import add_draft  # noqa: PLC0415
    from planlint.command.draw_command import add_draw  # noqa: PLC0415
    from planlint.command.mend_options import add_mend, add_tidy  # noqa: PLC0415
    from planlint.command.settings_command import add_settings  # noqa: PLC0415
    from planlint.command.sheet_command import add_sheet  # noqa: PLC0415
    from planlint.command.start_command import add_start  # noqa: PLC0415
    from planlint.command.steps_command import add_steps  # noqa: PLC0415

    add_ledger(commands)
    add_join(commands, _one_of)
    add_mend(commands, _one_of)
    add_tidy(commands)
    add_settings(commands)
    add_convert(commands, _one_of)
    add_steps(commands, _one_of)
    add_sheet(commands, _one_of)
    add_draw(commands, _one_of)
    add_draft(commands, _one_of)
    add_start(commands, _one_of)

    rules = commands.add_parser("rules", help="list the rules, or tell one in full")
    rules.add_argument("name", metavar="NAME", nargs="?", help="the rule to tell in full")
    rules.add_argument("--cases", action="store_true", help="with NAME: also tell its worked cases")
    rules.set_defaults(run=_rules)

    demo = commands.add_parser("demo", help="inspect the demo plans, or write them to a folder")
    demo.add_argument("folder", metavar="FOLDER", nargs="?", help="where to write the demo plans")
    demo.add_argument(
        "--overwrite", action="store_true", help="write over files of the same name that differ"
    )
    demo.set_defaults(run=_demo)
    return parser, tuple(commands.choices)


def _limits_here() -> Limits:
    """The limits in force in the current folder; the rules' own where its settings have mistakes in them."""
    from planlint.inspection.plan_files import STANDARD_INPUT  # noqa: PLC0415
    from planlint.settings.layered_settings import SettingsBroken, Shop  # noqa: PLC0415

    try:
        return Shop().in_force(STANDARD_INPUT).settings.limits
    except SettingsBroken:
        return Limits()


def _rules(call: argparse.Namespace) -> int:
    from planlint.plugins.own_rules import every_rule, own_rules  # noqa: PLC0415
    from planlint.reports.page_layout import Page  # noqa: PLC0415
    from planlint.reports.rule_catalogue import write_catalogue, write_rule, write_unusable  # noqa: PLC0415

    rules, faults = every_rule(), dict(own_rules().faults)
    if call.name is None:
        if call.cases:
            raise CallWrong("--cases needs the name of a rule")
        write_catalogue(Page(), rules, faults.items())
    elif call.name in rules:
        write_rule(Page(), rules[call.name], _limits_here(), cases=call.cases)
    elif call.name in faults:
        write_unusable(Page(), call.name, faults[call.name])
        return NOT_READ
    else:
        hint = _nearest(call.name, [*rules, *faults], "`planlint rules` lists them")
        raise CallWrong(f"there is no rule {_quoted(call.name)}; {hint}")
    return OK


def _demo(call: argparse.Namespace) -> int:
    from planlint.command.demo_command import inspect_demo, write_demo  # noqa: PLC0415

    if call.folder is None:
        if call.overwrite:
            raise CallWrong("--overwrite needs a folder to write the demo plans to")
        return inspect_demo()
    problem = write_demo(call.folder, overwrite=call.overwrite)
    if problem:
        raise CallWrong(problem)
    return OK


def _one_of(*words: str) -> Callable[[str], str]:
    def check(word: str) -> str:
        if word in words:
            return word
        listed = f"{', '.join(words[:-1])} or {words[-1]}"
        raise argparse.ArgumentTypeError(
            f"there is no {_quoted(word)}; {_nearest(word, words, f'say {listed}')}"
        )

    return check


def _no_such_command(word: str, commands: tuple[str, ...]) -> str:
    if word.endswith(".plan") or os.path.exists(word):  # noqa: PTH110
        return f"{_quoted(word)} is not a command; to inspect it: planlint inspect {word}"
    hint = _nearest(word, commands, f"the commands are {', '.join(commands[:-1])} and {commands[-1]}")
    return f"there is no command {_quoted(word)}; {hint}"


def _no_such_option(word: str, options: Iterable[str], command: str) -> str:
    if not word.startswith("-"):
        return f"nothing more is due where {_quoted(word)} stands; see planlint {command} --help"
    return f"there is no option {_quoted(word)}; {_nearest(word.split('=', 1)[0], options, 'see planlint --help')}"


def _nearest(word: str, known: Iterable[str], otherwise: str) -> str:
    near = nearest(word, known)
    return f"the nearest is {near}" if near else otherwise


def _quoted(word: str) -> str:
    """A word of the call, so that it can steer no terminal and fill no screen."""
    return (
        ascii(word if len(word) <= 60 else f"{word[:60]}...") if not word.isprintable() else f"'{word[:60]}'"
    )
