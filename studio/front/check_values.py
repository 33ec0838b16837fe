"""Check-value files: reading them, running a case, and when a value counts as agreeing.

Numbers agree to 1e-5 relative or 1e-9 absolute unless the case brings a tolerance: a number is
absolute; {"rel", "abs"}: either suffices; {"exact": true}: exactly; a key that names an output or a
prefix of it speaks of that output alone ("masses_abs": 0.02, "verdict": "exact"). Lists of numbers in
order, lists of strings as sets (in order when exact), the rest exactly. A subset of outputs is enough.
"""

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal

from studio.front.checks import Answer

GENERAL = {"rel", "abs", "exact"}


class BadFile(ValueError):
    """The file is no check-value file; the message says why."""


@dataclass(frozen=True)
class Rule:
    """How near two numbers must be: either of ``rel`` and ``absolute`` suffices, none when ``exact``."""

    rel: float = 1e-5
    absolute: float = 1e-9
    exact: bool = False

    def near(self, wanted: float, got: float) -> bool:
        if self.exact:
            return wanted == got
        return math.isclose(wanted, got, rel_tol=0, abs_tol=max(self.absolute, self.rel * abs(wanted)))


@dataclass(frozen=True)
class Outcome:
    """What became of one case. ``problems`` says each value that did not agree."""

    word: Literal["passed", "failed", "unknown fn"]
    problems: tuple[str, ...] = ()


def read_cases(file: Path) -> list[dict[str, Any]]:
    """The cases of a file, each with at least id, fn, in and out. ``BadFile`` otherwise."""
    try:
        content = json.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadFile(f"{file} cannot be read: {error.strerror}.") from error
    except ValueError as error:
        raise BadFile(f"{file} is not JSON: {error}.") from error
    cases = content.get("cases") if isinstance(content, dict) else None
    if not isinstance(cases, list):
        raise BadFile(f'{file} has no list of "cases".')
    for number, case in enumerate(cases, 1):
        _check_form(case, f"{file}, case {number}")
    return cases


def _check_form(case: Any, where: str) -> None:
    form = {"id": (str, int), "fn": (str,), "in": (dict,), "out": (dict,)}
    for key, kinds in form.items():
        if not (isinstance(case, dict) and isinstance(case.get(key), kinds)):
            raise BadFile(
                f'{where} needs "id", "fn", "in" and "out"; "{key}" is missing or of the wrong kind.'
            )
    if not case["out"]:
        raise BadFile(f'{where} has nothing in "out", so it could not fail.')


def run_case(case: Mapping[str, Any], *, table: Mapping[str, Answer]) -> Outcome:
    """Run one case through the function that answers to its ``fn``."""
    answer = table.get(case["fn"])
    if answer is None:
        return Outcome("unknown fn", (f"unknown fn {case['fn']}",))
    try:
        got = answer(**case["in"])
    except (TypeError, ValueError, ArithmeticError, LookupError) as error:
        return Outcome("failed", (f"{case['fn']} refused: {error}",))
    try:
        rules = {name: rule_for(name, case.get("tolerance")) for name in case["out"]}
    except BadFile as error:
        return Outcome("failed", (str(error),))
    problems = tuple(
        problem
        for name, wanted in case["out"].items()
        for problem in _compared(name, wanted, got, rules[name])
    )
    return Outcome("failed" if problems else "passed", problems)


def rule_for(name: str, tolerance: Any) -> Rule:
    """The rule that speaks of the output ``name``: its own, else the general one, else the default."""
    if tolerance is None:
        return Rule()
    if not isinstance(tolerance, dict):
        return _rule_from(tolerance)
    # the longest stem wins: "masses_g" speaks of masses_g before "masses" does
    own = [_own_rule(key, value) for key, value in tolerance.items() if key not in GENERAL]
    fitting = [(stem, rule) for stem, rule in own if name.startswith(stem)]
    if fitting:
        return max(fitting, key=lambda found: len(found[0]))[1]
    general = {key: value for key, value in tolerance.items() if key in GENERAL}
    return _rule_from(general) if general else Rule()


def _own_rule(key: str, value: Any) -> tuple[str, Rule]:
    """The name (or beginning of a name) that a key speaks of, "masses" in "masses_abs", and its rule."""
    stem, _, kind = key.rpartition("_")
    if stem and kind in ("abs", "rel"):
        return stem, _rule_from({kind: value})
    return key, _rule_from(value)


def _rule_from(value: Any) -> Rule:
    if value == "exact":
        return Rule(exact=True)
    if isinstance(value, dict):
        if value.get("exact"):
            return Rule(exact=True)
        return Rule(rel=_limit(value.get("rel", 0.0)), absolute=_limit(value.get("abs", 1e-9)))
    return Rule(rel=0.0, absolute=_limit(value))


def _limit(value: Any) -> float:
    if not _is_number(value) or not value >= 0:
        raise BadFile(f"a tolerance must be 0 or more, got {value!r}")
    return float(value)


def _compared(name: str, wanted: Any, got: Any, rule: Rule) -> Iterator[str]:
    """Every difference between the wanted output ``name`` and what the answer holds under it."""
    if name not in got:
        yield f"{name} is missing"
    else:
        yield from _differences(name, wanted, got[name], rule)


def _differences(name: str, wanted: Any, got: Any, rule: Rule) -> Iterator[str]:
    if isinstance(wanted, Mapping) and isinstance(got, Mapping):
        for key, value in wanted.items():
            if key in got:
                yield from _differences(f"{name}.{key}", value, got[key], rule)
            else:
                yield f"{name}.{key} is missing"
    elif _is_list(wanted) and _is_list(got):
        yield from _list_differences(name, wanted, got, rule)
    elif _is_number(wanted) and _is_number(got):
        if not rule.near(wanted, float(got)):
            yield f"{name}: wanted {wanted}, got {got}"
    elif _is_number(wanted) or _is_number(got) or wanted != got:
        yield f"{name}: wanted {wanted!r}, got {got!r}"


def _list_differences(name: str, wanted: Sequence[Any], got: Sequence[Any], rule: Rule) -> Iterator[str]:
    if wanted and not rule.exact and all(isinstance(item, str) for item in wanted):
        if not all(isinstance(item, str) for item in got) or set(wanted) != set(got):
            yield f"{name}: wanted {sorted(wanted)}, got {list(got)}"
    elif len(wanted) != len(got):
        yield f"{name}: wanted {len(wanted)} values, got {len(got)}"
    else:
        for i, (one, other) in enumerate(zip(wanted, got, strict=True)):
            yield from _differences(f"{name}[{i}]", one, other, rule)


def _is_list(value: Any) -> bool:
    return isinstance(value, (list, tuple))


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float, Decimal, Fraction)) and not isinstance(value, bool)
