"""Run rules: patterns of points that single limits do not see. Lists opened; Nelson's article from memory.

A point on the centre line ends a run on one side. In "2 of 3" and "4 of 5" the point itself lies beyond.
For buckets only the first is used, from 12 locked points also eight on one side: evaporation makes trends
normal, and coarse steps of SG lie close together.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise

from studio.calc.arguments import finite

Rule = Callable[[Sequence[float], int], bool]


def run_rules(*, z: Sequence[float]) -> dict[str, list[int]]:
    """Which rules are hit, each with every point (from 1) that completes its pattern.

    ``z`` = (value - centre)/sigma, finite. ``W1/N1`` beyond 3; ``W2/N5`` 2 of 3 beyond 2, ``W3/N6`` 4 of 5
    beyond 1, same side; ``W4(8)``, ``N2(9)`` so many on one side; ``N3`` six steadily up or down; ``N4``
    fourteen in turn up and down; ``N7`` fifteen within 1; ``N8`` eight beyond 1 on either side.
    """
    finite(**{f"z{i}": value for i, value in enumerate(z)})
    hits = {name: [i + 1 for i in range(len(z)) if rule(z, i)] for name, rule in RULES.items()}
    return {name: points for name, points in hits.items() if points}


def _last(z: Sequence[float], i: int, count: int) -> Sequence[float]:
    """The last ``count`` values up to the i-th; empty when there are not so many yet."""
    return z[i + 1 - count : i + 1] if i + 1 >= count else ()


def _beyond(sigmas: float) -> Rule:
    return lambda z, i: abs(z[i]) > sigmas


def _of_last(some: int, count: int, sigmas: float) -> Rule:
    def hit(z: Sequence[float], i: int) -> bool:
        side = 1 if z[i] > 0 else -1
        lately = z[max(0, i + 1 - count) : i + 1]
        return side * z[i] > sigmas and sum(side * value > sigmas for value in lately) >= some

    return hit


def _one_side(count: int) -> Rule:
    def hit(z: Sequence[float], i: int) -> bool:
        lately = _last(z, i, count)
        return bool(lately) and (all(v > 0 for v in lately) or all(v < 0 for v in lately))

    return hit


def _steadily(count: int) -> Rule:
    def hit(z: Sequence[float], i: int) -> bool:
        steps = _steps(_last(z, i, count))
        return bool(steps) and (all(step > 0 for step in steps) or all(step < 0 for step in steps))

    return hit


def _in_turn(count: int) -> Rule:
    def hit(z: Sequence[float], i: int) -> bool:
        steps = _steps(_last(z, i, count))
        return bool(steps) and all(a * b < 0 for a, b in pairwise(steps))

    return hit


def _every(count: int, fits: Callable[[float], bool]) -> Rule:
    def hit(z: Sequence[float], i: int) -> bool:
        lately = _last(z, i, count)
        return bool(lately) and all(fits(value) for value in lately)

    return hit


def _steps(values: Sequence[float]) -> list[float]:
    return [b - a for a, b in pairwise(values)]


RULES: dict[str, Rule] = {
    "W1/N1": _beyond(3),
    "W2/N5": _of_last(2, 3, 2),
    "W3/N6": _of_last(4, 5, 1),
    "W4(8)": _one_side(8),
    "N2(9)": _one_side(9),
    "N3": _steadily(6),
    "N4": _in_turn(14),
    "N7": _every(15, lambda value: abs(value) < 1),
    "N8": _every(8, lambda value: abs(value) > 1),
}
