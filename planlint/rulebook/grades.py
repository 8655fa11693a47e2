"""How bad it is."""

from enum import IntEnum


class Grade(IntEnum):
    """What happens if nothing is done; higher is worse."""

    ADVICE = 1
    CAUTION = 2
    STOP = 3

    @property
    def word(self) -> str:
        return self.name.lower()


GRADE_BY_WORD = {grade.word: grade for grade in Grade}
OFF = "off"
"""What a shop says of a rule that is not to be checked."""
