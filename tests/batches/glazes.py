"""Two glazes of the demo studio with their materials in the store, made through the acts.

Lines, targets, lots and prices: "demo_studio.md" 2 and 3; densities from the reference table, frits 2.50.
"""

from decimal import Decimal

from studio.materials.models import Material
from studio.materials.operations.materials import add_material, find_material
from studio.people.models import Member
from studio.recipes.models import Line, Version
from studio.recipes.operations.recipes import add_recipe
from studio.recipes.operations.versions import TypedLine, approve_version
from studio.room.models import Scale, Vessel
from tests.factories import ScaleFactory, VesselFactory, person

# name: (density, role, hazard words, lot, grams, price per kg)
STORE = {
    "Soda feldspar": ("2.605", "plain", "silica dust", "SF-08", "17821", "1.15"),
    "Potash feldspar": ("2.56", "plain", "silica dust", "PF-11", "23240", "1.10"),
    "Frit A": ("2.50", "plain", "low", "FA-03", "6699", "3.55"),
    "Silica": ("2.648", "plain", "respirable silica", "SI-21", "29766", "0.62"),
    "Kaolin": ("2.59", "plain", "silica dust", "KA-14", "19000", "0.94"),
    "Wollastonite": ("2.92", "plain", "dust", "WO-06", "10818", "1.30"),
    "Whiting": ("2.71", "plain", "low", "WH-09", "17364", "0.70"),
    "Dolomite": ("2.86", "plain", "low", "DO-05", "10102", "0.75"),
    "Zirconium silicate": ("4.60", "opacifier", "dust", "ZR-06", "10800", "5.80"),
    "Tin oxide": ("6.85", "opacifier", "low", "SN-03", "1360", "38.00"),
    "Cobalt carbonate": ("4.20", "colourant", "toxic, sensitiser", "CO-07", "405", "92.00"),
}
GANNET_WHITE = [
    ("base", "Soda feldspar", "22"),
    ("base", "Frit A", "28"),
    ("base", "Silica", "17"),
    ("base", "Kaolin", "17"),
    ("base", "Wollastonite", "16"),
    ("addition", "Zirconium silicate", "10"),
]
OAT_HUSK = [
    ("base", "Potash feldspar", "44"),
    ("base", "Dolomite", "20"),
    ("base", "Kaolin", "24"),
    ("base", "Whiting", "4"),
    ("base", "Silica", "8"),
    ("addition", "Tin oxide", "3"),
]


def people() -> tuple[Member, Member]:
    """Bram who makes recipes and Tamsin who approves them: both technicians."""
    return person("Bram", "technician"), person("Tamsin", "technician")


def material(name: str) -> Material:
    """One material of the store with its lot, added once."""
    found = find_material(name)
    if found is not None:
        return found
    density, role, words, lot, grams, price = STORE[name]
    return add_material(
        name=name,
        density=Decimal(density),
        role=role,
        hazard_words=words,
        lot_code=lot,
        opening_g=Decimal(grams),
        opening_price_per_kg=Decimal(price),
        by=people()[0],
    )


def recipe(name: str, lines: list[tuple[str, str, str]], *, sg: str, cone: str = "6", **more) -> Version:
    """A recipe's first version, approved by the second technician."""
    maker, approver = people()
    typed = [
        TypedLine(
            kind=Line.Kind(kind), material=material(of), typed_name=of, parts=Decimal(parts), typed=parts
        )
        for kind, of, parts in lines
    ]
    draft = add_recipe(name=name, lines=typed, target_sg=Decimal(sg), cone=cone, by=maker, **more)
    version = approve_version(version=draft, by=approver)
    return Version.objects.select_related("recipe").get(pk=version.pk)


def gannet_white(**more) -> Version:
    """Target 1.45, particle density 2.731 with zirconium silicate on top."""
    return recipe("Gannet White", GANNET_WHITE, sg="1.45", sieve_mesh=80, **more)


def oat_husk(**more) -> Version:
    """Target 1.47, cone 10; particle density 2.684."""
    return recipe("Oat Husk", OAT_HUSK, sg="1.47", cone="10", sieve_mesh=80, **more)


def room() -> Vessel:
    """Both scales of the demo studio, and its pail B02."""
    scales()
    return VesselFactory(code="B02")


def scales() -> list[Scale]:
    """Bulk 5 kg in 1 g, fine 600 g in 0.1 g."""
    return [ScaleFactory(), ScaleFactory(name="Fine scale", division_g="0.1", capacity_g="600")]
