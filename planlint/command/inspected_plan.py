"""A plan that a call names, as inspection finds it."""

from planlint.command.usage_error import CallWrong
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection, refused
from planlint.inspection.plan_files import Refused, read_plan_file
from planlint.inspection.used_files import settings_in_force


def inspected_plan(path: str) -> Inspection:
    """The inspection of a plan file by the settings that are in force for it, or that of one that is not to be read.

    Raises ``CallWrong`` where its settings cannot be read.
    """
    read = read_plan_file(path)
    if isinstance(read, Refused):
        return refused(*read)
    try:
        return inspect_text(read, settings_in_force(read.path, read))
    except ValueError as problem:
        raise CallWrong(str(problem)) from problem
