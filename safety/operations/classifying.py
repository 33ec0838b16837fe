"""Classifications kept: worked out once, never changed; what stands is the newest of a mixture."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Max, Q
from django.utils import timezone

from safety.calc.mixture import EDITION
from safety.classifying import LAWS, Worked, studio_law, worked_out
from safety.hazards import mixes_with, newest
from safety.mixes import Mix, canonical, digest, from_plain, mix_of_version
from safety.models import Classification
from studio.errors import Refused
from studio.materials.models import Material
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Counter, Member
from studio.recipes.models import Version
from studio.room.models import Details

SERIES = "classification"


def kept(
    *, mix: Mix, what: str, why: str, by: Member | None, at: datetime | None = None, law: str | None = None
) -> Classification:
    """The classification of ``mix`` that stands; a new one when what it rests on is not the same any more.

    ``what`` names the mixture for a person, ``why`` says what made a new one needed. Part of an act: the
    caller has checked the right and opened the transaction. ``law``: EU, US or UN, else the studio's own.
    """
    worked = worked_out([mix], law)
    return _kept(worked, {digest(mix): what}, why, by, at)[0]


def reclassify(*, material: Material | None, why: str, by: Member | None, at: datetime | None = None) -> int:
    """Work out anew whatever holds ``material`` and stands: part of the act that filed a sheet of it.

    Those are its bag, the versions in force and any that were classified, what labels in force say, what
    stands in tubs. Without a material: whatever stands. Each under the studio's law and every other it was
    ever asked for. How many new ones were made.
    """
    named, asked = mixes_with(material)
    own, made = studio_law(), 0
    for law in LAWS:
        mixes = [mix for key, (mix, _) in named.items() if law == own or law in asked.get(key, ())]
        if mixes:
            what = {digest(mix): named[digest(mix)][1] for mix in mixes}
            before = newest(what, law)
            rows = _kept(worked_out(mixes, law), what, why, by, at)
            made += sum(row.pk != getattr(before.get(row.mix_digest), "pk", None) for row in rows)
    return made


@act("recipe classified", about="version")
def classify_version(
    *, version: Version, law: str = "", by: Member, key: UUID | None = None, at: datetime | None = None
) -> Classification:
    """Keep what a recipe version is by a law (EU, US, UN; the studio's own unless named), as it is known now.

    Nothing new is written when the one on file rests on the same sheets. From then on it is kept up to
    date by itself.
    """
    refuse_unless(by, rights.BINDER)
    if law and law not in LAWS:
        raise Refused("Choose EU, US or UN.", field="law")
    return kept(
        mix=mix_of_version(version), what=str(version), why="asked for", by=by, at=at, law=law or None
    )


def version_in_force(version: Version, by: Member, at: datetime | None) -> None:
    """Part of approving a version: what it is by the studio's law is on file from then on."""
    kept(mix=mix_of_version(version), what=str(version), why="came into force", by=by, at=at)


def law_changed(before: Details, now: Details, by: Member | None, at: datetime | None) -> None:
    """Part of saying who the studio is: what stands is worked out by the law it is under from now on."""
    if before.law != now.law:
        reclassify(material=None, why=f"the studio is under {now.law} now", by=by, at=at)


def worked_out_anew() -> int:
    """What stands by an earlier edition of the working out is worked out by this one; how many rows it made.

    After an upgrade, before anybody prints a label from what the earlier one made of it.
    """
    last = Classification.objects.order_by().values("mix_digest", "law").annotate(last=Max("number"))
    earlier = Q(inputs__edition__lt=EDITION) | Q(inputs__edition__isnull=True)  # 1: unnamed
    rows = list(Classification.objects.filter(earlier, number__in=last.values("last")).order_by("number"))
    for law in LAWS:
        old = {row.mix_digest: row for row in rows if row.law == law}
        if old:
            what = {key: row.what for key, row in old.items()}
            worked = worked_out([from_plain(row.mix) for row in old.values()], law)
            _kept(worked, what, f"the rules are worked out more exactly now (edition {EDITION})", None, None)
    return len(rows)


# --- inside


def _kept(
    worked: Sequence[Worked], what: dict[str, str], why: str, by: Member | None, at: datetime | None
) -> list[Classification]:
    """Of each the standing row, or a new one; two writers wait for each other at the counter."""
    law = worked[0].law
    if (found := _same(worked, newest(what, law))) is not None:
        return found
    Counter.objects.select_for_update().get_or_create(name=SERIES)
    standing = newest(what, law)
    return [
        row if row is not None and _is_same(one, row) else _new(one, what[digest(one.mix)], why, by, at)
        for one, row in ((one, standing.get(digest(one.mix))) for one in worked)
    ]


def _same(worked: Iterable[Worked], standing: dict[str, Classification]) -> list[Classification] | None:
    rows = [(one, standing.get(digest(one.mix))) for one in worked]
    if all(_is_same(one, row) for one, row in rows):
        return [row for _, row in rows if row is not None]
    return None


def _is_same(worked: Worked, row: Classification | None) -> bool:
    return row is not None and row.inputs_digest == worked.inputs_digest


def _new(worked: Worked, what: str, why: str, by: Member | None, at: datetime | None) -> Classification:
    return Classification.objects.create(
        number=take_number(SERIES),
        what=what[:120],
        mix=canonical(worked.mix),
        mix_digest=digest(worked.mix),
        law=worked.law,
        rule_set=worked.rule_set,
        inputs=worked.inputs,
        inputs_digest=worked.inputs_digest,
        result=worked.result.as_plain(),
        assumed=bool(worked.assumed),
        missing=bool(worked.missing),
        why=why[:200],
        by=by,
        at=at or timezone.now(),
    )
