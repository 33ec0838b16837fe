"""Too much of one line: what puts the batch right again, what it costs to leave it, and what rounding costs.

Amounts in grams; a recipe is parts by ingredient in any scale. Derived: proportions are kept only if every
line has one factor, and nothing can be taken out of a bucket.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from studio.calc.arguments import between, not_negative, positive


@dataclass(frozen=True)
class Restored:
    """The batch that fits what is in the pan: every line times ``factor``, and grams to add to each."""

    factor: float
    new_batch_g: float
    add_g: dict[str, float]
    status: Literal["ok", "exceeds_max_batch", "short_of_stock"]


@dataclass(frozen=True)
class AcceptedError:
    """What a line that went over by some grams does when it is left so.

    ``pct_of_ingredient`` for colourants; ``shift_pct_points`` of the batch for all; every other share is
    ``others_scaled_by`` of what it was.
    """

    pct_of_ingredient: float
    new_pct_of_batch: float
    shift_pct_points: float
    others_scaled_by: float


@dataclass(frozen=True)
class LoadRounding:
    """What reading a line in several loads costs: bound and standard uncertainty, and bound in % of it."""

    rounding_bound_g: float
    rounding_u_g: float
    bound_pct: float


@dataclass(frozen=True)
class RecipeRounding:
    """How far rounding every line to a division moves each share, in points, and the batch in grams."""

    bound_pct_points: dict[str, float]
    batch_bound_g: float


def restore(
    *,
    recipe: Mapping[str, float],
    batch_g: float,
    weighed_g: Mapping[str, float | None],
    max_batch_g: float | None = None,
    stock_g: Mapping[str, float] | None = None,
) -> Restored:
    """The smallest larger batch in which nothing is too much.

    ``recipe`` parts above 0, ``batch_g`` above 0; ``weighed_g`` what is in the pan by ingredient, None
    where it is not weighed yet; ``max_batch_g`` what bucket or rule allows; ``stock_g`` what is left of
    each ingredient. Never under the batch that was planned. ValueError otherwise. Derived.
    """
    share = _shares(recipe, batch_g)
    pan = {name: weighed_g.get(name) or 0.0 for name in recipe}
    _known(recipe, weighed_g)
    not_negative(**{f"weighed_g of {name}": grams for name, grams in pan.items()})
    factor = max(1.0, *(pan[name] / (share[name] * batch_g) for name in recipe))
    new_batch_g = factor * batch_g
    add_g = {name: max(0.0, share[name] * new_batch_g - pan[name]) for name in recipe}
    return Restored(factor, new_batch_g, add_g, _status(new_batch_g, add_g, max_batch_g, stock_g or {}))


def _status(
    new_batch_g: float, add_g: Mapping[str, float], max_batch_g: float | None, stock_g: Mapping[str, float]
) -> Literal["ok", "exceeds_max_batch", "short_of_stock"]:
    if max_batch_g is not None and new_batch_g > max_batch_g:
        return "exceeds_max_batch"
    short = any(grams > stock_g[name] for name, grams in add_g.items() if name in stock_g)
    return "short_of_stock" if short else "ok"


def accept_error(
    *, recipe: Mapping[str, float], batch_g: float, ingredient: str, over_g: float
) -> AcceptedError:
    """What leaving ``over_g`` too much of one ingredient does to all shares.

    Take it only when both tolerances hold, that of the ingredient and that of the batch; for colourants
    the ingredient's decides. ``over_g`` 0 or more. ValueError otherwise. Derived.
    """
    share = _shares(recipe, batch_g)
    _known(recipe, {ingredient: over_g})
    not_negative(over_g=over_g)
    target_g, whole_g = share[ingredient] * batch_g, batch_g + over_g
    return AcceptedError(
        pct_of_ingredient=100 * over_g / target_g,
        new_pct_of_batch=100 * (target_g + over_g) / whole_g,
        shift_pct_points=100 * over_g * (1 - share[ingredient]) / whole_g,
        others_scaled_by=batch_g / whole_g,
    )


def load_rounding(*, amount_g: float, loads: int, division_g: float) -> LoadRounding:
    """What a display in steps of ``division_g`` hides when a line is weighed in several loads.

    Each load is rounded by half a division at most, evenly spread within it. All above 0; ValueError
    otherwise. Source: half a division and its rectangular distribution, JCGM 100 from memory.
    """
    positive(amount_g=amount_g, loads=loads, division_g=division_g)
    bound_g = loads * division_g / 2
    return LoadRounding(bound_g, division_g / 2 / 3**0.5 * loads**0.5, 100 * bound_g / amount_g)


def recipe_rounding(*, recipe: Mapping[str, float], batch_g: float, division_g: float) -> RecipeRounding:
    """How far each share of a batch moves at most when every line is rounded to ``division_g``.

    The reference confirmed the bound by brute force. All above 0; ValueError otherwise. Derived.
    """
    share = _shares(recipe, batch_g)
    positive(division_g=division_g)
    others = len(recipe) - 1
    points = {
        name: 100 * division_g / (2 * batch_g) * ((1 - part) + others * part) for name, part in share.items()
    }
    return RecipeRounding(bound_pct_points=points, batch_bound_g=len(recipe) * division_g / 2)


def smallest_for_error_g(*, division_g: float, rel: float) -> float:
    """The least grams that a scale with this division weighs to within ``rel`` (0.01 is 1 %). Derived."""
    positive(division_g=division_g)
    between(1e-6, 1, rel=rel)
    return division_g / (2 * rel)


def _shares(recipe: Mapping[str, float], batch_g: float) -> dict[str, float]:
    if not recipe:
        raise ValueError("recipe must hold a line, got none")
    positive(batch_g=batch_g, **{f"part of {name}": part for name, part in recipe.items()})
    whole = sum(recipe.values())
    return {name: part / whole for name, part in recipe.items()}


def _known(recipe: Mapping[str, float], named: Mapping[str, object]) -> None:
    if unknown := sorted(set(named) - set(recipe)):
        raise ValueError(f"the recipe has no {', '.join(unknown)}")
