"""What a label says beside its classes: names of sensitisers, and that a data sheet can be asked for.

Naming: CLP 3.4, Table 3.4.6 [O]. Asking: REACH Annex II as read for CLP Annex II 2.10 [O]: a mixture without
a class has a sheet on request from 1 % of what harms health or environment or has a workplace limit of the
EU, and from less of some classes. Both are EU law; the naming limit is used under UN rules, too [P].
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from safety.calc.ingredients import Ingredient
from safety.calc.limits import ELICITS, ELICITS_USUALLY, Rules, is_physical, kind_of

D = Decimal
SENSITISERS = ("Resp. Sens.", "Skin Sens.")
ASKED_USUALLY_PCT = D(1)
ASKED_SOONER_PCT = D("0.1")
SOONER = ("Carc. 2", "Repr.", "Lact.")
RULE = "CLP Annex II 2.10 [O]"


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One reason for EUH210: ``name`` is there with ``pct``, from ``from_pct`` on it counts, because of
    ``why`` (a class, or its workplace limit)."""

    name: str
    pct: Decimal
    from_pct: Decimal
    why: str
    rule: str = RULE


def sensitisers(
    found: Sequence[Ingredient], classes: tuple[str, ...], rules: Rules
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names beside the class, or, where nothing is classed, names for EUH208."""
    names = tuple(dict.fromkeys(one.name for one in found if _elicits(one, rules)))
    if any(cls.startswith(SENSITISERS) for cls in classes):
        return names, ()
    return (), () if rules == "US-HCS" else names


def asked_for(found: Sequence[Ingredient], classes: tuple[str, ...], rules: Rules) -> tuple[Asked, ...]:
    """Why a sheet can be asked for (EUH210); nothing where there is a class, and by other rules than CLP.

    Substances of one name are summed before the limit of the air is looked at: coarse and fine quartz have
    the same one.
    """
    if classes or rules != "CLP":
        return ()
    return (*_by_class(found, rules), *_by_air_limit(found))


def _by_class(found: Sequence[Ingredient], rules: Rules) -> Iterator[Asked]:
    for one in found:
        for cls in one.hazards.classes:
            least, share = _asked_from(one, cls), one.limit_pct(rules)
            if share >= least and not is_physical(cls):
                yield Asked(name=one.name, pct=share, from_pct=least, why=cls)


def _by_air_limit(found: Sequence[Ingredient]) -> Iterator[Asked]:
    limited: dict[str, list[Ingredient]] = {}
    for one in found:
        if one.eu_air_limit:
            limited.setdefault(one.cas or one.name, []).append(one)
    for rows in limited.values():
        share = sum((one.pct for one in rows), D(0))
        if share >= ASKED_USUALLY_PCT:
            name = " and ".join(dict.fromkeys(one.name for one in rows))
            yield Asked(name=name, pct=share, from_pct=ASKED_USUALLY_PCT, why=rows[0].eu_air_limit)


def _asked_from(one: Ingredient, cls: str) -> Decimal:
    """From which share of it on a sheet can be asked for because of one of its classes."""
    if cls.startswith(SENSITISERS):
        return _naming_limit(one, cls)
    return ASKED_SOONER_PCT if cls.startswith(SOONER) else ASKED_USUALLY_PCT


def _elicits(one: Ingredient, rules: Rules) -> bool:
    """Whether it is there from its naming limit on."""
    own = [cls for cls in one.hazards.classes if cls.startswith(SENSITISERS)]
    return any(one.limit_pct(rules) >= _naming_limit(one, cls) for cls in own)


def _naming_limit(one: Ingredient, cls: str) -> Decimal:
    """By Table 3.4.6 [O], or a tenth of a specific limit [M] where that is less."""
    usual, own = ELICITS.get(cls.split()[-1], ELICITS_USUALLY), one.own_limit(kind_of(cls))
    return usual if own is None else min(own / 10, usual)
