"""The dip check on combinations of facts, written from its rules; moments and readings invented.

Rules: held, testing, emptied, nothing left, or the technician's reading outside: do not use. No reading, too
old, overtaken by a change, undecided, a member's newer one outside, a surprise nobody explained, a flow off
its reference by more than 10 %: measure first. Not stirred within the settling time: stir first. Else dip. A
technician's reading counts 7 days, 2 once more than 2 L are gone since; a member's counts 2 days. Water cures
too thick only; powder in or water off too thin only. Under 10 cm: pour or brush, said beside the answer.
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from buckets.calc.dip import Facts, FlowReading, SgReading

NOW = datetime(2026, 4, 8, 12, 0, tzinfo=UTC)
U = 0.0044  # 100 mL cylinder and a 0.1 g scale: inside to 0.0115, outside from 0.0289 around the target


def ago(**how):
    return NOW - timedelta(**how)


def read(sg, *, u=U, litres=None, **how):
    return SgReading(sg=sg, u=u, at=ago(**how), volume_l=litres)


def flow(seconds, reference=50.0, **how):
    return FlowReading(seconds=seconds, reference_s=reference, at=ago(**(how or {"days": 1})))


def done(change, **how):
    return {"change": change, "changed_at": ago(**how)}


INSIDE, THICK, THIN = read(1.452, days=1), read(1.52, days=1), read(1.40, days=1)
UNSURE = read(1.475, days=1)  # probably outside, not surely
LIKELY = read(1.466, days=1)  # probably inside, not surely
OLD = read(1.452, days=8)
BY_MEMBER = {"technician": OLD, "member": read(1.45, hours=1)}
FIT = Facts(
    state="in use", technician=INSIDE, stirred_at=ago(minutes=1), volume_l=8.0, depth_cm=20.0,
    target=1.45, half_window=0.02,
)  # fmt: skip
UNSTIRRED = {"stirred_at": ago(minutes=20)}
FITS, STIR = ["inside", "stirred"], ["not stirred", "inside"]

# what is so, facts that differ from a fit bucket, the answer, codes of its reasons, acts that would change it
ROWS = [
    # --- state and holds come before everything
    ("held and otherwise fit", {"held_reason": "specks"}, "do not use", ["held"], ["lift"]),
    ("held, unstirred", {"held_reason": "x", **UNSTIRRED}, "do not use", ["held"], ["lift"]),
    ("held, unexplained", {"held_reason": "x", "unexplained": True}, "do not use", ["held"], ["lift"]),
    ("held, its flow off", {"held_reason": "x", "flow": flow(70)}, "do not use", ["held"], ["lift"]),
    ("held and shallow", {"held_reason": "x", "depth_cm": 6.0}, "do not use", ["held"], ["lift"]),
    ("held, too old", {"held_reason": "x", "technician": OLD}, "do not use", ["held"], ["lift"]),
    (
        "held and too thick",
        {"held_reason": "x", "technician": THICK},
        "do not use",
        ["held", "outside"],
        ["lift", "thin"],
    ),
    (
        "held while in testing",
        {"held_reason": "x", "state": "testing"},
        "do not use",
        ["held", "testing"],
        ["lift", "release"],
    ),
    ("in testing and otherwise fit", {"state": "testing"}, "do not use", ["testing"], ["release"]),
    ("testing, no reading", {"state": "testing", "technician": None}, "do not use", ["testing"], ["release"]),
    ("emptied", {"state": "emptied"}, "do not use", ["emptied"], []),
    ("nothing left", {"volume_l": 0.0, "depth_cm": 0.0}, "do not use", ["nothing left"], ["ask"]),
    (
        "nothing left and never measured",
        {"volume_l": 0.0, "technician": None},
        "do not use",
        ["nothing left"],
        ["ask"],
    ),
    # --- too thick, too thin, and what was done since
    ("too thick", {"technician": THICK}, "do not use", ["outside"], ["thin"]),
    ("too thin", {"technician": THIN}, "do not use", ["outside"], ["thicken"]),
    ("too thick, long ago", {"technician": read(1.52, days=40)}, "do not use", ["outside"], ["thin"]),
    (
        "too thick, then water in",
        {"technician": THICK, **done("water in", hours=1)},
        "measure first",
        ["changed since"],
        ["measure"],
    ),
    (
        "too thick, then powder in: thicker still",
        {"technician": THICK, **done("powder in", hours=1)},
        "do not use",
        ["outside"],
        ["thin"],
    ),
    (
        "too thick, then water off",
        {"technician": THICK, **done("water off", hours=1)},
        "do not use",
        ["outside"],
        ["thin"],
    ),
    (
        "too thick, then an additive, which changes no SG",
        {"technician": THICK, **done("additive in", hours=1)},
        "do not use",
        ["outside"],
        ["thin"],
    ),
    (
        "too thick, topped up: it may be anything now",
        {"technician": THICK, **done("topped up", hours=1)},
        "measure first",
        ["changed since"],
        ["measure"],
    ),
    (
        "too thick, water in, then an additive",
        {"technician": THICK, "thinned_at": ago(hours=2), **done("additive in", hours=1)},
        "measure first",
        ["changed since"],
        ["measure"],
    ),
    (
        "too thick, frozen and thawed",
        {"technician": THICK, **done("thawed", hours=1)},
        "do not use",
        ["outside"],
        ["thin"],
    ),
    (
        "too thin, then water in: thinner still",
        {"technician": THIN, **done("water in", hours=1)},
        "do not use",
        ["outside"],
        ["thicken"],
    ),
    (
        "too thin, then powder in",
        {"technician": THIN, **done("powder in", hours=1)},
        "measure first",
        ["changed since"],
        ["measure"],
    ),
    (
        "too thin, then water off",
        {"technician": THIN, **done("water off", hours=1)},
        "measure first",
        ["changed since"],
        ["measure"],
    ),
    (
        "too thin, water off, then thawed",
        {"technician": THIN, "thickened_at": ago(hours=2), **done("thawed", hours=1)},
        "measure first",
        ["changed since"],
        ["measure"],
    ),
    (
        "water went in before the reading",
        {"technician": INSIDE, **done("water in", days=2)},
        "dip",
        FITS,
        [],
    ),
    ("inside, then water in", done("water in", hours=1), "measure first", ["changed since"], ["measure"]),
    ("inside, then powder in", done("powder in", hours=1), "measure first", ["changed since"], ["measure"]),
    ("inside, then water off", done("water off", hours=1), "measure first", ["changed since"], ["measure"]),
    ("inside, then a dose", done("additive in", hours=1), "measure first", ["changed since"], ["measure"]),
    ("inside, then topped up", done("topped up", hours=1), "measure first", ["changed since"], ["measure"]),
    ("inside, then thawed", done("thawed", hours=1), "measure first", ["changed since"], ["measure"]),
    (
        "water in, and a member has read it inside since",
        {**BY_MEMBER, "technician": INSIDE, **done("water in", hours=3)},
        "dip",
        FITS,
        [],
    ),
    (
        "too thick, water in, and a member has read it inside since",
        {**BY_MEMBER, "technician": THICK, **done("water in", hours=3)},
        "dip",
        FITS,
        [],
    ),
    # --- validity by days and by use
    ("8 days old", {"technician": OLD}, "measure first", ["too old"], ["measure"]),
    (
        "3 days old, 2 L gone since: not more than 2",
        {"technician": read(1.45, days=3, litres=10.0)},
        "dip",
        FITS,
        [],
    ),
    (
        "3 days old, more than 2 L gone since",
        {"technician": read(1.45, days=3, litres=10.1)},
        "measure first",
        ["used since"],
        ["measure"],
    ),
    (
        "1 day old, more than 2 L gone since",
        {"technician": read(1.45, days=1, litres=12.0)},
        "dip",
        FITS,
        [],
    ),
    (
        "3 days old, level not read with it",
        {"technician": read(1.45, days=3)},
        "dip",
        FITS,
        [],
    ),
    (
        "3 days old, much used, by a rule of 5 L",
        {"technician": read(1.45, days=3, litres=12.0), "heavy_use_l": 5.0},
        "dip",
        FITS,
        [],
    ),
    (
        "8 days old and much used: it would be too old anyway by use",
        {"technician": read(1.45, days=8, litres=12.0)},
        "measure first",
        ["used since"],
        ["measure"],
    ),
    (
        "too thick and much used",
        {"technician": read(1.52, days=3, litres=12.0)},
        "do not use",
        ["outside"],
        ["thin"],
    ),
    # --- members' readings
    ("too old, a member inside since", BY_MEMBER, "dip", FITS, []),
    ("too old, a member inside since, unstirred", {**BY_MEMBER, **UNSTIRRED}, "stir first", STIR, ["stir"]),
    (
        "too old, a member inside 2 days ago",
        {**BY_MEMBER, "member": read(1.45, days=2)},
        "measure first",
        ["too old"],
        ["measure"],
    ),
    (
        "a member's readings never count in this studio",
        {**BY_MEMBER, "member_valid_days": 0.0},
        "measure first",
        ["too old"],
        ["measure"],
    ),
    (
        "fit, but a member has read too thick since",
        {"member": read(1.52, hours=1)},
        "measure first",
        ["member outside"],
        ["measure"],
    ),
    (
        "fit, but a member has read it probably outside since",
        {"member": replace(UNSURE, at=ago(hours=1))},
        "measure first",
        ["member probably outside"],
        ["measure"],
    ),
    (
        "fit, and a member's reading since cannot tell",
        {"member": replace(LIKELY, at=ago(hours=1))},
        "dip",
        FITS,
        [],
    ),
    (
        "too thick, a member inside since",
        {**BY_MEMBER, "technician": THICK},
        "measure first",
        ["readings disagree"],
        ["measure"],
    ),
    (
        "probably outside, a member inside since",
        {**BY_MEMBER, "technician": UNSURE},
        "measure first",
        ["readings disagree"],
        ["measure"],
    ),
    ("probably inside, a member inside since", {**BY_MEMBER, "technician": LIKELY}, "dip", FITS, []),
    (
        "too thick, a member too thick since",
        {"technician": THICK, "member": read(1.53, hours=1)},
        "do not use",
        ["outside"],
        ["thin"],
    ),
    (
        "a member inside, the technician too thick since",
        {"technician": read(1.52, hours=1), "member": read(1.45, hours=2)},
        "do not use",
        ["outside"],
        ["thin"],
    ),
    # --- doubt of the measurement
    ("probably inside", {"technician": LIKELY}, "measure first", ["undecided"], ["measure"]),
    ("probably outside", {"technician": UNSURE}, "measure first", ["undecided"], ["measure"]),
    (
        "on target, by a coarse way",
        {"technician": read(1.45, u=0.02, days=1)},
        "measure first",
        ["undecided"],
        ["measure"],
    ),
    ("no window, fresh reading", {"half_window": None}, "dip", ["no window", "stirred"], []),
    (
        "no window, powder in since",
        {"half_window": None, **done("powder in", hours=1)},
        "measure first",
        ["changed since"],
        ["measure"],
    ),
    # --- a surprise nobody has explained
    ("inside, unexplained", {"unexplained": True}, "measure first", ["unexplained"], ["explain"]),
    (
        "inside, unexplained, unstirred",
        {"unexplained": True, **UNSTIRRED},
        "measure first",
        ["unexplained", "not stirred"],
        ["explain", "stir"],
    ),
    (
        "too thick, unexplained",
        {"technician": THICK, "unexplained": True},
        "do not use",
        ["outside", "unexplained"],
        ["thin", "explain"],
    ),
    (
        "unexplained, and too old by now",
        {"technician": OLD, "unexplained": True},
        "measure first",
        ["unexplained", "too old"],
        ["explain", "measure"],
    ),
    (
        "unexplained, a member inside since",
        {**BY_MEMBER, "unexplained": True},
        "measure first",
        ["unexplained"],
        ["explain"],
    ),
    (
        "unexplained, its flow off",
        {"unexplained": True, "flow": flow(60)},
        "measure first",
        ["unexplained", "flow slow"],
        ["explain", "measure flow"],
    ),
    # --- flow against its own reference
    ("flow as it should be", {"flow": flow(50)}, "dip", FITS, []),
    ("flow 10 % slower: just within", {"flow": flow(55)}, "dip", FITS, []),
    ("flow 10 % faster: just within", {"flow": flow(45)}, "dip", FITS, []),
    ("flow slower", {"flow": flow(55.1)}, "measure first", ["flow slow"], ["measure flow"]),
    ("flow faster", {"flow": flow(44.9)}, "measure first", ["flow fast"], ["measure flow"]),
    ("flow off weeks ago", {"flow": flow(70, days=20)}, "measure first", ["flow slow"], ["measure flow"]),
    ("flow 15 % slower, by a rule of 20 %", {"flow": flow(57.5), "flow_within_pct": 20.0}, "dip", FITS, []),
    (
        "flow off and unstirred",
        {"flow": flow(60), **UNSTIRRED},
        "measure first",
        ["flow slow", "not stirred"],
        ["measure flow", "stir"],
    ),
    (
        "too old and its flow off",
        {"technician": OLD, "flow": flow(60)},
        "measure first",
        ["too old", "flow slow"],
        ["measure", "measure flow"],
    ),
    (
        "too thin, its flow off",
        {"technician": THIN, "flow": flow(40)},
        "do not use",
        ["outside"],
        ["thicken"],
    ),
    ("flow of an hour that is still to come", {"flow": flow(70, hours=-3)}, "dip", FITS, []),
    # --- stirring
    ("never stirred", {"stirred_at": None}, "stir first", STIR, ["stir"]),
    ("settles in 30 min, stirred 20 min ago", {**UNSTIRRED, "settles_min": 30.0}, "dip", FITS, []),
    (
        "settles in 2 min, stirred 3 min ago",
        {"stirred_at": ago(minutes=3), "settles_min": 2.0},
        "stir first",
        STIR,
        ["stir"],
    ),
    (
        "unstirred and too old",
        {**UNSTIRRED, "technician": OLD},
        "measure first",
        ["too old", "not stirred"],
        ["measure", "stir"],
    ),
    # --- depth
    ("9 cm left, fit", {"depth_cm": 9.0}, "dip", FITS, []),
    ("9 cm left, unstirred", {"depth_cm": 9.0, **UNSTIRRED}, "stir first", STIR, ["stir"]),
    ("depth not known", {"depth_cm": None, "volume_l": None}, "dip", FITS, []),
]  # fmt: skip
