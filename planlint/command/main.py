"""``planlint COMMAND …``: what the builder types, and the exit status.

0 clean, 1 something found, 2 a plan could not be read or inspected whole, or the call is wrong; a run that
is broken off ends with 130 (Ctrl-C), 143 (it was asked to end) or 141 (nobody reads its output any more).
"""

import argparse
import gc
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from importlib import import_module
from typing import Any, NoReturn

from planlint import __version__
from planlint.budget.own_threads import one_thread
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong, call_word, nearest_or
from planlint.text.os_error_words import refused_by_system

OK, FOUND, NOT_READ, STOPPED, NO_READER, ENDED = 0, 1, 2, 130, 141, 143

COMMANDS = {
    "inspect": ("inspect_options", "inspect plans"),
    "ledger": ("ledger_command", "keep a list of findings that are known"),
    "join": ("join_command", "make one report of several"),
    "mend": ("mend_command", "repair plans, as far as that is sure to be right"),
    "tidy": ("tidy_command", "give plans one layout; what they say stays as it is"),
    "settings": ("settings_command", "tell what is in force for a plan, and where it comes from"),
    "convert": ("convert_command", "convert traditional joints to pocket screws"),
    "steps": ("steps_command", "tell the order of work of a plan"),
    "sheet": ("sheet_command", "tell what to cut, buy and drill for a plan, or for several"),
    "draw": ("draw_command", "draw a plan: the piece, its parts, its findings"),
    "draft": ("draft_command", "start a plan from a cut list (CSV)"),
    "start": ("start_command", "write a sound plan to begin with"),
    "rules": ("rules_command", "list the rules, or tell one in full"),
    "demo": ("demo_command", "inspect the demo plans, or write them to a folder"),
}
"""The file of each command, imported only where it is called, and what it does."""


class _CallEnded(KeyboardInterrupt):
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
        status = ENDED if isinstance(stop, _CallEnded) else STOPPED
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
        raise _CallEnded

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
    parser = _parser(words)
    if not words:
        parser.print_help(sys.stderr)
        return NOT_READ
    if not words[0].startswith("-") and words[0] not in COMMANDS:
        raise CallWrong(_no_such_command(words[0]))
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


def _parser(words: list[str]) -> _Parser:
    """The reader of a command line; of the command that is called alone its words are read."""
    parser = _Parser(
        prog="planlint",
        description="Finds what is wrong in a furniture plan joined with pocket screws, before timber is cut.",
        epilog="Exit status: 0 clean, 1 something found, 2 a plan could not be read or the call is wrong.",
    )
    parser.add_argument("--version", action="version", version=f"planlint {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    # Setting all of them up takes longer than reading a small plan.
    asked = words[0] if words else ""
    for name in [asked] if asked in COMMANDS else COMMANDS:
        module, says = COMMANDS[name]
        command = commands.add_parser(name, help=says)
        if name == asked:
            import_module(f"planlint.command.{module}").add_words(command)
    return parser


def _no_such_command(word: str) -> str:
    commands = tuple(COMMANDS)
    if word.endswith(".plan") or os.path.exists(word):  # noqa: PTH110
        return f"{call_word(word)} is not a command; to inspect it: planlint inspect {word}"
    hint = nearest_or(word, commands, f"the commands are {', '.join(commands[:-1])} and {commands[-1]}")
    return f"there is no command {call_word(word)}; {hint}"


def _no_such_option(word: str, options: Iterable[str], command: str) -> str:
    if not word.startswith("-"):
        return f"nothing more is due where {call_word(word)} stands; see planlint {command} --help"
    return f"there is no option {call_word(word)}; {nearest_or(word.split('=', 1)[0], options, 'see planlint --help')}"
