"""Lengths and numbers worked out exactly, with their units checked.

A number written with a unit is a length; one written without is a plain number. A plain number becomes a
length, in the plan's own unit, where a length is due and where it is added to or compared with one.
Everything is a ``Fraction``: nothing is rounded before the geometry asks for it.
"""

import math
import re
from fractions import Fraction

from planlint.language.expression_tree import Call, Expression, Name, Number, Operation
from planlint.language.syntax_tree import Let, Statement
from planlint.language.vocabulary import COUNTED, SIDE_WORDS, UNIT_BY_WORD
from planlint.model.mistake_log import FollowOn, MistakeLog, Refusal
from planlint.model.scope import Scope, Value
from planlint.text.measures import in_short

MOST_BITS = 256
"""Digits a worked-out number may grow to, in bits above and below the line. Basis: own judgement."""

MOST_INCHES = 12_000
"""No length of a plan, or of a shop's settings, is over 1000 ft. Basis: own judgement."""

_DEEPEST = 50
"""How deep brackets may be nested. Basis: own judgement."""


def evaluate(expression: Expression, scope: Scope, depth: int = 0) -> Value:
    """The value of an expression; raises ``Refusal`` with what is wrong, at its place in the statement."""
    kind = type(expression)
    if kind is Number:
        value = Value(expression.value, expression.unit is not None)  # type: ignore[union-attr]
        return _sound(value, expression)
    if kind is Name:
        return _look_up(expression, scope)  # type: ignore[arg-type]
    if depth > _DEEPEST:
        raise Refusal.at(expression, "brackets are nested too deep here: use a `let` for the inner part")
    if kind is Operation:
        # A long sum leans to the left: walked, not recursed into.
        chain: list[Operation] = []
        node = expression
        while isinstance(node, Operation):
            chain.append(node)
            node = node.left
        value = evaluate(node, scope, depth + 1)
        for operation in reversed(chain):
            value = _combine(operation, value, evaluate(operation.right, scope, depth + 1), scope)
        return value
    return _call(expression, scope, depth)  # type: ignore[arg-type]


def _sound(value: Value, at: Expression) -> Value:
    number = value.number
    if number.numerator.bit_length() > MOST_BITS or number.denominator.bit_length() > MOST_BITS:
        raise Refusal.at(at, "this number grows past anything a plan needs: look for a sum that runs away")
    return value


def _look_up(name: Name, scope: Scope) -> Value:
    value = scope.find(name.text)
    if value is not None:
        return value
    if name.text in scope.broken or name.text in scope.unread:
        raise FollowOn
    if name.text in scope.unfit:
        raise Refusal.at(name, scope.unfit[name.text])
    if name.text in COUNTED:
        says = f"`{name.text}` is a word: write the number: `{COUNTED.index(name.text) + 1}`"
        raise Refusal.at(name, says)
    if name.text in UNIT_BY_WORD and not scope.offers.nearest(name.text, scope.names()):
        says = f"`{name.text}` is a unit, behind numbers; the plan's is told under `plan`: `unit {name.text}`"
        raise Refusal.at(name, says)
    if name.text in SIDE_WORDS:
        raise Refusal.at(name, f"`{name.text}` is a side; a length or a number is due here")
    if re.fullmatch("x[0-9]+", name.text):
        raise Refusal.at(name, f"how many is a number alone: write `{name.text[1:]}`")
    known = scope.names()
    near = scope.offers.nearest(name.text, known)
    offer = (
        f"; the nearest name is {near}"
        if near
        else f"; write `let {name.text} = …` before it is used"
        if not known
        else ""
    )
    raise Refusal.at(name, f"nothing here is called {name.text}{offer}")


def _combine(at: Operation, left: Value, right: Value, scope: Scope) -> Value:
    one, one_long = left
    other, other_long = right
    operator = at.operator
    if operator in {"+", "-"}:
        if one_long is not other_long:
            if one_long:
                other *= scope.factor
            else:
                one *= scope.factor
        total = one + other if operator == "+" else one - other
        return _sound(Value(total, one_long or other_long), at)
    quotes = ((at.left.start, at.left.end), (at.right.start, at.right.end))
    if operator == "*":
        if one_long and other_long:
            says = "a length times a length is an area, and no area is due here: {0} and {1} are both lengths"
            raise Refusal.at(at, says, quotes=quotes)
        return _sound(Value(one * other, one_long or other_long), at)
    if not other:
        raise Refusal.at(at, "{0} is divided by {1}, which is nothing", quotes=quotes)
    if other_long and not one_long:
        says = (
            "a number is divided by a length here: {0} has no unit and {1} is a length; "
            "give {0} a unit, or divide the other way"
        )
        raise Refusal.at(at, says, quotes=quotes)
    return _sound(Value(one / other, one_long and not other_long), at)


def _call(call: Call, scope: Scope, depth: int) -> Value:
    if not call.arguments:
        raise Refusal.at(call, f"{call.function} needs something to choose from")
    if call.function in FUNCTIONS:
        return _worked_out(call, scope, depth)
    values = [evaluate(argument, scope, depth + 1) for argument in call.arguments]
    as_lengths = any(value.is_length for value in values)
    numbers = [
        value.number * scope.factor if as_lengths and not value.is_length else value.number
        for value in values
    ]
    return Value(min(numbers) if call.function == "min" else max(numbers), as_lengths)


FUNCTIONS = {"sin": 1, "cos": 1, "tan": 1, "sqrt": 1, "hypot": 2}
"""Functions whose values are rounded, and how many values each takes."""

FINEST = 10**9
"""What they give is rounded to a part in so many: far below what any rule shows, so that sums of it still close.
Basis: our own judgement."""


def _worked_out(call: Call, scope: Scope, depth: int) -> Value:
    """``sin``, ``cos`` and ``tan`` of degrees; ``sqrt`` of a number; ``hypot(a, b)``, the slope over two sides."""
    values = [evaluate(argument, scope, depth + 1) for argument in call.arguments]
    if len(values) != FUNCTIONS[call.function]:
        takes = "two values: `hypot(12, 5)`" if call.function == "hypot" else "one value"
        raise Refusal.at(call, f"{call.function} takes {takes}")
    if call.function == "hypot":
        as_lengths = any(value.is_length for value in values)
        one, other = (
            value.number * scope.factor if as_lengths and not value.is_length else value.number
            for value in values
        )
        return _sound(Value(_root(one * one + other * other), as_lengths), call)
    number, is_length = values[0]
    at = call.arguments[0]
    if is_length:
        what = "an angle in degrees" if call.function != "sqrt" else "a plain number"
        says = f"{call.function} takes {what}, and {{0}} is a length"
        if call.function == "sqrt":
            says += ": the slope over two lengths is `hypot(a, b)`"
        raise Refusal.at(at, says, quoted=True)
    if call.function == "sqrt":
        if number < 0:
            raise Refusal.at(at, "{0} is less than 0 and has no square root", quoted=True)
        return _sound(Value(_root(number), False), call)
    if call.function == "tan" and number % 180 == 90:
        raise Refusal.at(at, "the tangent of {0} degrees has no end", quoted=True)
    quarter = number % 360
    if call.function == "tan":
        found = Fraction(1 if quarter % 180 == 45 else -1) if quarter % 90 == 45 else None
    else:
        # The sine at whole multiples of 30 degrees is told without rounding; the cosine is the sine a quarter on.
        found = _SINES.get((quarter + (90 if call.function == "cos" else 0)) % 360)
    if found is None:
        turn = {"sin": math.sin, "cos": math.cos, "tan": math.tan}[call.function]
        found = Fraction(round(turn(math.radians(quarter)) * FINEST), FINEST)
    return _sound(Value(found, False), call)


_SINES = {
    Fraction(angle): Fraction(twice, 2)
    for angle, twice in ((0, 0), (30, 1), (90, 2), (150, 1), (180, 0), (210, -1), (270, -2), (330, -1))
}


def _root(number: Fraction) -> Fraction:
    """A square root: exact where there is one, else to the last place of ``FINEST``."""
    top, bottom = math.isqrt(number.numerator), math.isqrt(number.denominator)
    if top * top == number.numerator and bottom * bottom == number.denominator:
        return Fraction(top, bottom)
    return Fraction(math.isqrt(number.numerator * FINEST * FINEST // number.denominator), FINEST)


# ---------------------------------------------------------------- what is due at a place


def length_of(expression: Expression, scope: Scope) -> Fraction:
    """A length in inches, where a length is due; a plain number is taken in the plan's unit."""
    number, is_length = evaluate(expression, scope)
    if not is_length and scope.unit != "in":
        number *= scope.factor
    if abs(number.numerator) <= MOST_INCHES * number.denominator:
        return number
    raise Refusal.at(expression, "this length is over 1000 ft: check its unit")


def positive_length(expression: Expression, scope: Scope, what: str) -> Fraction:
    """A length of at least a thousandth of an inch: ``what`` names it in the message."""
    number = length_of(expression, scope)
    if number.numerator <= 0:
        size = "nothing" if not number else "less than nothing"
        raise Refusal.at(expression, f"{what} comes to {size}: it must be more than 0")
    if number.denominator > 1000 and number < Fraction(1, 1000):
        raise Refusal.at(expression, f"{what} is thinner than a shaving: check its unit")
    return number


def distance(expression: Expression, scope: Scope, what: str, instead: str = "") -> Fraction:
    """A length of 0 or more."""
    number = length_of(expression, scope)
    if number.numerator < 0:
        hint = f"; {instead}" if instead else ""
        raise Refusal.at(expression, f"{what} is less than 0{scope.turn_told}{hint}")
    return number


def angle_of(expression: Expression, scope: Scope) -> Fraction:
    """An angle in degrees: a plain number."""
    number, is_length = evaluate(expression, scope)
    if is_length:
        raise Refusal.at(expression, "an angle in degrees is due here, and {0} is a length", quoted=True)
    return number


def whole_number(expression: Expression, scope: Scope, what: str) -> int:
    """A count: a plain number without a fraction."""
    number, is_length = evaluate(expression, scope)
    if is_length or number.denominator != 1:
        kind = "a length" if is_length else str(number) if number.denominator < 10_000 else "not whole"
        raise Refusal.at(expression, f"{what} must be a whole number, and this is {kind}")
    return number.numerator


def name_of(name: Name, scope: Scope) -> str:
    """A name with its template filled in: ``slat_{n + 1}`` in the turn n = 2 is ``slat_3``."""
    pieces = name.pieces
    if not pieces:
        return name.text
    return "".join(
        [
            piece if type(piece) is str else str(whole_number(piece, scope, "the number in a name"))  # type: ignore[arg-type]
            for piece in pieces
        ]
    )


# ---------------------------------------------------------------- lets


def names_in(expression: Expression) -> list[Name]:
    """The names an expression leans on."""
    found: list[Name] = []
    ahead: list[Expression] = [expression]
    while ahead:
        node = ahead.pop()
        if isinstance(node, Name):
            found.append(node)
        elif isinstance(node, Operation):
            ahead += (node.left, node.right)
        elif isinstance(node, Call):
            ahead += node.arguments
    return found


def settle_lets(lets: list[tuple[Statement, Let]], scope: Scope, log: MistakeLog) -> None:
    """Works out lets in whatever order they lean on one another; a ring of them is one mistake."""
    pending: dict[str, tuple[Statement, Let]] = {}
    for statement, let in lets:
        name = let.name.text
        first = pending.get(name)
        if first is not None or scope.find(name) is not None or name in scope.unfit:
            by = scope.brought.get(name)
            where = f" on line {first[0].line}" if first is not None else f" by {by}" if by else ""
            says = f"{name} is already given a value{where}: use another name"
            log.refuse(statement, Refusal.at(let.name, says))
            continue
        pending[name] = (statement, let)
    for name in pending:
        if name not in scope.values and name not in scope.broken:
            _settle(name, pending, scope, log)


def _settle(name: str, pending: dict[str, tuple[Statement, Let]], scope: Scope, log: MistakeLog) -> None:
    """One let after all those it leans on, on a stack of our own: a chain may be thousands long."""
    path: dict[str, list[Name]] = {name: names_in(pending[name][1].value)}
    while path:
        current, needs = next(reversed(path.items()))
        while needs:
            wanted = needs.pop().text
            if wanted not in pending or wanted in scope.values or wanted in scope.broken:
                continue
            if wanted in path:
                _report_ring(wanted, list(path), pending, scope, log)
                continue
            path[wanted] = names_in(pending[wanted][1].value)
            break
        else:
            del path[current]
            if current in scope.broken:
                continue
            statement, let = pending[current]
            try:
                scope.values[current] = evaluate(let.value, scope)
            except Refusal as refusal:
                scope.broken.add(current)
                log.refuse(statement, refusal)


def _report_ring(
    wanted: str, path: list[str], pending: dict[str, tuple[Statement, Let]], scope: Scope, log: MistakeLog
) -> None:
    ring = path[path.index(wanted) :]
    scope.broken.update(ring)
    first = min(ring, key=lambda name: pending[name][0].span)
    turn = ring.index(first)
    ring = ring[turn:] + ring[:turn]
    chain = " needs ".join([*in_short(ring), first])
    statement, let = pending[first]
    says = f"these lets go round in a ring: {chain}; give one of them a value that needs none of the others"
    if len(ring) == 1:
        says = f"{first} is worked out from itself: give it a value of its own"
    log.refuse(statement, Refusal.at(let.name, says))
