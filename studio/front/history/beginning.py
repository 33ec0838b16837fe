"""What the large studio begins with: people, room, materials and recipes, the last three by the acts."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.utils import timezone

from safety.operations.sheets import file_sheet
from studio.front.demo.binder import told
from studio.front.demo.cast import LAST_DAY, table
from studio.front.demo.store import ROLES, SOLUBLE, SUSPENDERS
from studio.materials.models import Material
from studio.materials.operations.materials import add_material
from studio.people.models import Member
from studio.people.models.members import Role
from studio.recipes.models import Line, Version
from studio.recipes.operations.recipes import TypedLine, add_recipe, approve_version
from studio.room.models import Scale, Vessel
from studio.room.operations.instruments import add_glass, add_scale
from studio.room.operations.vessels import add_vessel

PREFIX = "history-"
VESSELS = 64
RECIPES = 120
ROLE_OF = {1: Role.MANAGER, 2: Role.TECHNICIAN, 3: Role.TECHNICIAN}  # everybody else is a member
PEOPLE = 64
PAIL = {"bottom_cm": Decimal("25.6"), "top_cm": Decimal("28.8"), "height_cm": Decimal("35.0")}  # 20.36 L


@dataclass(frozen=True)
class Studio:
    """The rows that history is written about."""

    technicians: list[Member]
    members: list[Member]
    vessels: list[Vessel]
    scales: list[Scale]
    versions: list[Version]


def begin(at: datetime, now: datetime) -> Studio:
    """Make them, as if on the day ``at``; how old their sheets are counts from ``now``."""
    people = _people(at)
    technicians = [person for person in people if person.role == Role.TECHNICIAN]
    bram = technicians[0]
    scales = [
        add_scale(name="Bulk scale", division_g=Decimal(1), capacity_g=Decimal(5000), by=bram, at=at),
        add_scale(name="Fine scale", division_g=Decimal("0.1"), capacity_g=Decimal(600), by=bram, at=at),
    ]
    add_glass(
        name="Cylinder 100 mL",
        kind="cylinder",
        volume_ml=Decimal(100),
        tolerance_ml=Decimal("0.5"),
        empty_g=Decimal("65.7"),
        by=bram,
        at=at,
    )
    vessels = [
        add_vessel(code=f"B{n:02}", **PAIL, empty_g=Decimal(1135), place=f"shelf {n}", by=bram, at=at)
        for n in range(1, VESSELS + 1)
    ]
    materials = _materials(bram, at)
    _sheets(materials, bram, at, now)
    return Studio(
        technicians=technicians,
        members=[person for person in people if person.role == Role.MEMBER],
        vessels=vessels,
        scales=scales,
        versions=_recipes(materials, technicians, at),
    )


def _people(at: datetime) -> list[Member]:
    """Sixty-four, who all sign in with the demo studio's password."""
    password = make_password(settings.DEMO_PASSWORD)
    return Member.objects.bulk_create(
        Member(
            username=f"{PREFIX}{n:02}",
            name=f"Person {n:02}",
            role=ROLE_OF.get(n, Role.MEMBER),
            password=password,
            joined_at=at,
        )
        for n in range(1, PEOPLE + 1)
    )


def _materials(bram: Member, at: datetime) -> dict[str, Material]:
    rows = {row["material"]: row for row in table("lots")}
    return {
        name: add_material(
            name=name,
            role=Material.Role.ADDITIVE
            if name in SUSPENDERS
            else ROLES.get(row["class"], Material.Role.PLAIN),
            soluble=name in SOLUBLE,
            hazard_words=row["words"],
            by=bram,
            at=at,
        )
        for name, row in rows.items()
    }


def _sheets(materials: dict[str, Material], bram: Member, at: datetime, now: datetime) -> None:
    """The demo studio's sheets without their files, as old as there; lots that come later are not covered."""
    moved = timezone.localdate(now) - LAST_DAY
    newest = {row["material"]: row for row in table("sheets")}
    for row in newest.values():
        said = told(row, lambda day: date.fromisoformat(day) + moved)
        file_sheet(material=materials[row["material"]], by=bram, at=at, **said)


def _recipes(materials: dict[str, Material], technicians: list[Member], at: datetime) -> list[Version]:
    """The demo studio's glazes, ten variants of each, the first of all of them first."""
    lines: dict[str, list[TypedLine]] = {}
    for row in table("glaze_lines"):
        name = row["material"]
        typed = TypedLine(
            kind=Line.Kind(row["kind"]),
            material=materials[name],
            typed_name=name,
            parts=Decimal(row["parts"]),
            typed=row["parts"],
        )
        lines.setdefault(row["glaze"], []).append(typed)
    glazes = table("glazes")
    versions = []
    for n in range(RECIPES):
        glaze = glazes[n % len(glazes)]
        draft = add_recipe(
            name=f"{glaze['name']} {n // len(glazes) + 1}",
            look=glaze["look"],
            cone=glaze["cone"],
            atmosphere=glaze["atmosphere"],
            colour=glaze["colour"],
            note=glaze["note"],
            settles_min=Decimal(glaze["settles_min"]),
            target_sg=Decimal(glaze["target_sg"]),
            half_window=Decimal(glaze["half_window"]),
            sieve_mesh=int(glaze["mesh"]),
            lines=lines[glaze["name"]],
            by=technicians[0],
            at=at,
        )
        approve_version(version=draft, by=technicians[1], at=at + timedelta(hours=1))
        versions.append(draft)
    chosen = Version.objects.select_related("recipe").in_bulk([version.pk for version in versions])
    return [chosen[version.pk] for version in versions]
