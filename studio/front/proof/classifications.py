"""Classifications: each holds together, and says what its inputs lead to by the rules it names."""

from collections.abc import Iterator

from django.db.models import Max

from safety.calc.mixture import EDITION, RULES_OF_LAW
from safety.classifying import result_from
from safety.mixes import canonical, digest, digest_of, from_plain
from safety.models import Classification
from studio.front.proof.problem import Problem


def problems() -> Iterator[Problem]:
    for row in Classification.objects.order_by("number").iterator(chunk_size=500):
        for sentence in _wrong(row):
            yield Problem(f"classification {row}", sentence)
    yield from _worked_out_otherwise()


def _wrong(row: Classification) -> Iterator[str]:
    try:
        mix = from_plain(row.mix)
    except (ValueError, TypeError, ArithmeticError) as error:
        yield f"is of a mixture that can't be: {error}."
        return
    if canonical(mix) != row.mix or digest(mix) != row.mix_digest:
        yield "bears the digest of another mixture."
    if digest_of([row.rule_set, row.inputs]) != row.inputs_digest:
        yield "bears the digest of other inputs."
    if row.assumed != bool(row.inputs["assumed"]) or row.missing != bool(row.inputs["missing"]):
        yield "does not say what of it is assumed or missing."


def _worked_out_otherwise() -> Iterator[Problem]:
    """What stands must follow from its own inputs; a result by an older edition stays what it was."""
    last = Classification.objects.order_by().values("mix_digest", "law").annotate(last=Max("number"))
    texts = {law: text for law, (_, text) in RULES_OF_LAW.items()}
    for row in Classification.objects.filter(number__in=last.values("last")).order_by("number"):
        if row.rule_set != texts.get(row.law) or row.inputs.get("edition") != EDITION:
            continue
        if digest_of(result_from(row.inputs, row.law).as_plain()) != digest_of(row.result):
            yield Problem(f"classification {row}", "says another thing than its inputs lead to.")
