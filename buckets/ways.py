"""The ways a gravity is measured: what each asks for, and what to beware of."""

from dataclasses import dataclass

from buckets.models import Reading

Method = Reading.Method


@dataclass(frozen=True, kw_only=True)
class Way:
    """One way: its word in the address, what it is called, and the fields it alone asks for.

    ``needs`` maps a field that must be told to the question beside it when it is not.
    """

    slug: str
    method: str
    title: str
    hint: str
    fields: tuple[str, ...]
    needs: dict[str, str]
    icon: str
    lead: str
    label: str = ""  # of the number that is read
    unit: str = ""
    beware: str = ""
    span: tuple[int, int] = (0, 10_000)  # between what the number read lies: of "1,450" it tells which


AS_READ = "What does it say?"
PINT = "Net weight of a pint"
OF_VESSEL = ("as_read", "glass", "scale")

WAYS: tuple[Way, ...] = (
    Way(
        slug="weighed",
        method=Method.WEIGHED,
        title="Weigh a known volume",
        hint="a flask or cylinder on the scale",
        fields=("glass", "scale", "tare_g", "gross_g", "tare_checked"),
        needs={"gross_g": "Weigh the filled flask."},
        icon="scale",
        lead="Stir to the floor first, fill the glass to the mark, wipe it, weigh it.",
    ),
    Way(
        slug="water",
        method=Method.AGAINST_WATER,
        title="The same vessel against water",
        hint="empty, with water, with glaze; its volume does not matter",
        fields=("glass", "scale", "tare_g", "water_g", "gross_g", "temperature_c"),
        needs={
            "tare_g": "What does it weigh empty?",
            "water_g": "What does it weigh with water?",
            "gross_g": "What does it weigh with glaze?",
        },
        icon="drop",
        lead="Stir to the floor first. Fill to the very same mark each time, and wipe the outside.",
    ),
    Way(
        slug="hydrometer",
        method=Method.HYDROMETER,
        title="Hydrometer",
        hint="one of the room's, with a thermometer",
        fields=("hydrometer", "as_read", "temperature_c"),
        needs={
            "hydrometer": "Which hydrometer is it?",
            "as_read": AS_READ,
            "temperature_c": "How warm is the glaze? A hydrometer says nothing without it.",
        },
        icon="measure",
        lead="Stir, let it float freely, read where the surface cuts the stem.",
        label="Read on the stem",
        beware="In a glaze with a yield stress it reads anything, depending on how it was dropped in; in one "
        "that settles it sinks while you read. Weighing is the reference.",
        span=(0, 250),
    ),
    Way(
        slug="baume",
        method=Method.BAUME,
        title="Degrees Baumé, heavy",
        hint="a number somebody read off",
        fields=("as_read", "modulus"),
        needs={"as_read": AS_READ},
        icon="measure",
        lead="The modulus is kept with it: 145 and 144.3 differ by 0.002 at a gravity of 1.45.",
        label="Degrees Baumé",
        unit="°Bé",
        span=(0, 145),
    ),
    Way(
        slug="twaddell",
        method=Method.TWADDELL,
        title="Degrees Twaddell",
        hint="a number somebody read off",
        fields=("as_read",),
        needs={"as_read": AS_READ},
        icon="measure",
        lead="The gravity is 1 + degrees ÷ 200.",
        label="Degrees Twaddell",
        unit="°Tw",
        span=(0, 300),
    ),
    Way(
        slug="oz-imperial",
        method=Method.OZ_IMPERIAL,
        title="Ounces in an imperial pint",
        hint="568 mL; water weighs 20 oz",
        fields=OF_VESSEL,
        needs={"as_read": AS_READ},
        icon="cylinder",
        lead="Net weight of a full imperial pint, divided by 20 as trade custom has it.",
        label=PINT,
        unit="oz",
        beware="A US pint is smaller and holds 16.66 oz of water: over 20 it would read 17 % low. And the "
        "pint of water that weighs 20 oz was weighed in air at 62 °F: as grams in a mL the same weight "
        "is 0.22 % less.",
        span=(10, 100),
    ),
    Way(
        slug="oz-us",
        method=Method.OZ_US,
        title="Ounces in a US pint",
        hint="473 mL; water weighs 16.66 oz",
        fields=OF_VESSEL,
        needs={"as_read": AS_READ},
        icon="cylinder",
        lead="Net weight of a full US pint of 473 mL.",
        label=PINT,
        unit="oz",
        beware="An imperial pint is larger and holds 20 oz of water: look at the jug.",
        span=(10, 100),
    ),
    Way(
        slug="g-100ml",
        method=Method.G_100ML,
        title="Grams in 100 mL",
        hint="net, without the glass",
        fields=OF_VESSEL,
        needs={"as_read": AS_READ},
        icon="cylinder",
        lead="Net weight of 100 mL.",
        label="Net weight of 100 mL",
        unit="g",
        span=(90, 300),
    ),
    Way(
        slug="g-l",
        method=Method.G_L,
        title="Grams in a litre",
        hint="net, without the jug",
        fields=OF_VESSEL,
        needs={"as_read": AS_READ},
        icon="cylinder",
        lead="Net weight of one litre.",
        label="Net weight of 1 L",
        unit="g",
        span=(900, 3000),
    ),
    Way(
        slug="lb-us-gal",
        method=Method.LB_US_GAL,
        title="Pounds in a US gallon",
        hint="net, without the jug",
        fields=OF_VESSEL,
        needs={"as_read": AS_READ},
        icon="cylinder",
        lead="Net weight of a US gallon of 3.785 L.",
        label="Net weight of a US gallon",
        unit="lb",
        span=(5, 30),
    ),
    Way(
        slug="number",
        method=Method.TYPED,
        title="I have the number",
        hint="a gravity that was worked out already",
        fields=("sg", "sg_pick"),
        needs={"sg": "What is the gravity?"},
        icon="page",
        lead="How it was measured is not known then, and it counts as ± 0.010.",
    ),
)

BY_SLUG = {way.slug: way for way in WAYS}
BY_METHOD = {str(way.method): way for way in WAYS}
OWN_FIELDS = frozenset(name for way in WAYS for name in way.fields)


def in_order(last: str | None) -> list[Way]:
    """Every way, the one this person took the last time first. ``last``: its method."""
    return sorted(WAYS, key=lambda way: way.method != last)
