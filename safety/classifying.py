"""What mixtures are, worked out from what is on file now: nothing is written here.

Substances are summed over the whole mixture before any limit is looked at; shares are exact until then.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from safety.acidity import Acidity, from_plain, on_sheets
from safety.air_limits import eu_limit
from safety.calc.composition import Held, strictest
from safety.calc.hazards import ROUTES, Hazards
from safety.calc.mixture import EDITION, RULES_OF_LAW, Ingredient, Mixture, classify
from safety.composing import Made, on_file
from safety.mixes import Mix, digest_of
from safety.models import Sheet
from studio import words
from studio.recipes.models import Line
from studio.room import details

LAWS = ("EU", "US", "UN")
UNKNOWN = Hazards(stated="unknown", unknown_acute=ROUTES, source="not known")


@dataclass(frozen=True, kw_only=True)
class Worked:
    """A mixture worked out under a law. ``inputs`` is what it rests on, as JSON; its digest tells changes."""

    mix: Mix
    law: str
    inputs: dict[str, Any]
    ingredients: tuple[Ingredient, ...]
    result: Mixture
    assumed: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def rules(self) -> str:
        """The key of the rules: CLP, US-HCS or GHS."""
        return RULES_OF_LAW[self.law][0]

    @property
    def rule_set(self) -> str:
        """The rules with their edition."""
        return RULES_OF_LAW[self.law][1]

    @property
    def inputs_digest(self) -> str:
        """The same inputs under the same edition of the rules, the same digest."""
        return digest_of([self.rule_set, self.inputs])


def studio_law() -> str:
    """The law the studio is under: EU, US or UN."""
    return details.in_force().law


def worked_out(mixes: Iterable[Mix], law: str | None = None) -> list[Worked]:
    """Every mixture under ``law`` (the studio's own unless named), in the order given.

    Six queries for any number of mixtures (seven without ``law``); nothing is written.
    """
    law = law or studio_law()
    return side_by_side(mixes, [law])[law]


def side_by_side(mixes: Iterable[Mix], laws: Iterable[str]) -> dict[str, list[Worked]]:
    """Every mixture under each of several laws: as many queries as for one."""
    mixes = list(mixes)
    lines = _lines({pk for mix in mixes for pk in mix.versions})
    ids = {pk for found in lines.values() for pk in found} | {pk for mix in mixes for pk in mix.materials}
    filed, answer = on_file(ids), {}
    for law in laws:
        materials = filed.made(law)
        answer[law] = [_worked(mix, law, lines, materials) for mix in mixes]
    return answer


# --- inside


def _lines(versions: set[int]) -> dict[int, dict[int, Fraction]]:
    """Share of each material in each version, of all its dry lines."""
    parts: dict[int, dict[int, Fraction]] = {pk: {} for pk in versions}
    rows = Line.objects.filter(version__in=versions).values_list("version_id", "material_id", "parts")
    for version, material, amount in rows if versions else ():
        held = parts[version]
        held[material] = held.get(material, Fraction(0)) + Fraction(amount)
    return {
        version: {material: amount / sum(held.values()) for material, amount in held.items()}
        for version, held in parts.items()
    }


@dataclass
class _Sum:
    """One substance over the whole mixture, while it is being summed."""

    held: Held
    hazards: Hazards
    pct: Fraction = Fraction(0)
    of: list[dict[str, Any]] = field(default_factory=list)


def _worked(mix: Mix, law: str, lines: dict[int, dict[int, Fraction]], materials: dict[int, Made]) -> Worked:
    shares = _shares(mix, lines)
    used = [materials[pk] for pk in sorted(shares, key=lambda pk: (-shares[pk], pk))]
    sums = _summed(used, shares, mix)
    assumed = [said for one in used for said in one.assumed]
    missing = [said for one in used for said in one.missing]
    for said, share in mix.unknown.items():
        if share:
            missing.append(f"{words.percent(100 * share, 2)} of it is not known: {said}.")
        else:
            assumed.append(f"{said[:1].upper()}{said[1:]}. What that may add is not counted.")
    acidity = on_sheets(
        [(one.material.name, one.sheets) for one in used], alone=len(mix.parts) == 1 == len(used)
    )
    assumed += acidity.assumed
    ingredients = tuple(
        Ingredient(
            name=name,
            cas=one.held.cas,
            pct=_decimal(one.pct),
            hazards=one.hazards,
            eu_air_limit=eu_limit(one.held.cas) if law == "EU" else "",
        )
        for name, one in zip(_names(sums), sums, strict=True)
    )
    return Worked(
        mix=mix,
        law=law,
        inputs=_inputs(used, shares, sums, ingredients, assumed, missing) | _acidity(acidity),
        ingredients=ingredients,
        result=_result(ingredients, acidity, law),
        assumed=tuple(assumed),
        missing=tuple(missing),
    )


def _result(ingredients: Sequence[Ingredient], acidity: Acidity, law: str) -> Mixture:
    rules = RULES_OF_LAW[law][0]
    return classify(ingredients=ingredients, rules=rules, non_additive=bool(acidity.extreme), ph=acidity.ph)


def result_from(inputs: Mapping[str, Any], law: str) -> Mixture:
    """What inputs that were kept lead to, worked out again by the rules of a law."""
    ingredients = tuple(
        Ingredient(
            name=one["name"],
            cas=one["cas"],
            pct=Decimal(one["pct"]),
            hazards=Hazards.from_plain(one["hazards"]),
            eu_air_limit=one.get("eu_air_limit", ""),
        )
        for one in inputs["substances"]
    )
    return _result(ingredients, from_plain(inputs.get("acidity", {})), law)


def _acidity(found: Acidity) -> dict[str, Any]:
    return {"acidity": found.as_plain()} if found.told else {}


def _shares(mix: Mix, lines: dict[int, dict[int, Fraction]]) -> dict[int, Fraction]:
    """Share of every material in the mixture, through its versions and by itself."""
    shares: dict[int, Fraction] = {pk: Fraction(share) for pk, share in mix.materials.items()}
    for version, share in mix.versions.items():
        for material, of_it in lines[version].items():
            shares[material] = shares.get(material, Fraction(0)) + Fraction(share) * of_it
    return shares


def _summed(used: Sequence[Made], shares: dict[int, Fraction], mix: Mix) -> list[_Sum]:
    """Every substance once, the largest share first."""
    found: dict[tuple[str, str], _Sum] = {}
    for one in used:
        share = shares[one.material.pk]
        for held in one.substances:
            # what has no CAS number is one substance within its material only
            key = held.key if held.cas else (f"{one.material.pk} {held.key[0]}", held.part)
            its = found.setdefault(key, _Sum(held, held.hazards))
            its.hazards = strictest(its.hazards, held.hazards) if its.of else held.hazards
            its.pct += share * Fraction(held.pct)
            its.of.append(_contribution(one, held, share))
    for said, share in mix.unknown.items():
        if share:
            held = Held(name=said, pct=Decimal(100), hazards=UNKNOWN)
            found[said, "unknown"] = _Sum(held, UNKNOWN, Fraction(share) * 100)
    return sorted(found.values(), key=lambda its: (-its.pct, its.held.name, its.held.part))


def _contribution(one: Made, held: Held, share: Fraction) -> dict[str, Any]:
    return {
        "material": one.material.name,
        "material_pct": str(_decimal(100 * share)),
        "in_it_pct": str(held.pct),
        "pct": str(_decimal(share * Fraction(held.pct))),
        "source": held.hazards.source,
        **{name: said for name, said in (("given", held.given), ("sheet", held.sheet)) if said},
    }


def _names(sums: Sequence[_Sum]) -> list[str]:
    """A name of its own for every substance: where two have the same one, with what they came in."""
    plain = [_name(one.held) for one in sums]
    return [
        name if plain.count(name) == 1 else f"{name} ({one.held.cas or one.of[0]['material']})"
        for name, one in zip(plain, sums, strict=True)
    ]


def _name(held: Held) -> str:
    return f"{held.name}, {held.part} fraction" if held.part in ("fine", "coarse") else held.name


def _decimal(value: Fraction) -> Decimal:
    """Exact where it can be, else to 28 figures."""
    return Decimal(value.numerator) / Decimal(value.denominator)


def _inputs(
    used: Sequence[Made],
    shares: dict[int, Fraction],
    sums: Sequence[_Sum],
    ingredients: Sequence[Ingredient],
    assumed: list[str],
    missing: list[str],
) -> dict[str, Any]:
    return {
        "edition": EDITION,
        "materials": [
            {
                "id": one.material.pk,
                "name": one.material.name,
                "pct": str(_decimal(100 * shares[one.material.pk])),
                "hazardous": one.hazardous,
                "sheets": [_sheet(sheet) for sheet in one.sheets],
            }
            for one in used
        ],
        "substances": [
            {
                "name": ingredient.name,
                "cas": ingredient.cas,
                "pct": str(ingredient.pct),
                "hazards": ingredient.hazards.as_plain(),
                **({"eu_air_limit": ingredient.eu_air_limit} if ingredient.eu_air_limit else {}),
                "of": its.of,
            }
            for ingredient, its in zip(ingredients, sums, strict=True)
        ],
        "assumed": assumed,
        "missing": missing,
    }


def _sheet(sheet: Sheet) -> dict[str, Any]:
    return {"id": sheet.pk, "number": str(sheet), "kind": sheet.kind}
