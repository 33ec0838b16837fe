"""Who may do what. One table; pages, API and refusals all read it.

Each role adds to the one before. A helper gains some rights by a sign-off that is in force.
The room is the account of the shared tablet: it holds little, and lends itself to whoever gives a PIN.
"""

SEE = "see"  # everything but other people's private records
STIR = "stir"  # say that one stirred; reporting needs no right at all
USE = "use"  # log use, take a reading
OWN = "own"  # one's own page: name, units, password, PIN, tokens
ASK = "ask"  # ask for a batch
WEIGH = "weigh"
HAZARDOUS = "hazardous"  # weigh what is hazardous, or what nobody has classified
WET = "wet"  # water, sieve, first readings of a batch, water into a bucket
MAKE = "make"  # approve requests, pour, abandon, lift a hold, release
RECIPES = "recipes"
STORE = "store"
ROOM = "room"  # vessels, scales, glass, policy
BINDER = "binder"  # data sheets, leach tests, label sheets
PRIVATE = "private"  # what only a manager reads: injuries
PEOPLE = "people"  # invite, roles, sign-offs, leaving

WORDS = {
    SEE: "to look around",
    STIR: "to note that you stirred",
    USE: "to log what you did at a bucket",
    OWN: "to see and change what is yours",
    ASK: "to ask for glaze",
    WEIGH: "to weigh a batch (technician, or helper with a weighing sign-off)",
    HAZARDOUS: "to weigh what is hazardous (technician, or helper with a hazardous sign-off)",
    WET: "to add water and sieve (technician, or helper with a wet mixing sign-off)",
    MAKE: "to approve, release or lift a hold (technician)",
    RECIPES: "to change recipes (technician)",
    STORE: "to change the store (technician)",
    ROOM: "to change the room (technician)",
    BINDER: "to file what is in the binder (technician)",
    PRIVATE: "to read about injuries (manager)",
    PEOPLE: "to invite people and set their roles (manager)",
}

_ROOM = frozenset({SEE, STIR})
_MEMBER = _ROOM | {USE, OWN, ASK}
_TECHNICIAN = _MEMBER | {WEIGH, HAZARDOUS, WET, MAKE, RECIPES, STORE, ROOM, BINDER}
_OF_ROLE = {
    "the room": _ROOM,
    "member": _MEMBER,
    "helper": _MEMBER,
    "technician": _TECHNICIAN,
    "manager": _TECHNICIAN | {PEOPLE, PRIVATE},
}
OFFERED_IN_THE_ROOM = frozenset({USE, ASK, WEIGH, HAZARDOUS, WET})
# A few digits typed at a shared tablet are worth less than a password: these never open by a PIN.
ONLY_WITH_PASSWORD = frozenset({PEOPLE, PRIVATE})
_SIGN_OFF = {WEIGH: "weighing", HAZARDOUS: "hazardous", WET: "wet mixing"}


def of_role(role: str) -> frozenset[str]:
    """Rights of a role without any sign-off."""
    return _OF_ROLE[role]


def sign_off_for(right: str) -> str | None:
    """The sign-off that gives a helper this right, or None."""
    return _SIGN_OFF.get(right)
