"""Numbers and times as people read them: thin thousands, a real minus, always a unit.

Plain functions without Django, so that sentences built outside templates read the same.
"""

from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

from studio.calc import units as door

Number = Decimal | float | int

THIN = "\u202f"  # between thousands: thin, and the number is never broken over two lines
GAP = "\u00a0"  # between a number and its unit: never broken over two lines
MINUS = "\u2212"
NONE = "–"  # a fact that is not known, as a table shows it


def decimal(value: Number) -> Decimal:
    """The same number as a Decimal; a float as it is written, not as it is stored."""
    return Decimal(repr(value)) if isinstance(value, float) else Decimal(value)


@lru_cache(maxsize=8192, typed=True)
def number(value: Number, places: int = 0, *, least: int | None = None, plus: bool = False) -> str:
    """``1234.5`` as ``1 234.5``: at most ``places`` decimals, at least ``least`` (default: as many).

    ``plus`` shows a plus sign on positive numbers, for differences. A rounded nought has no sign.
    """
    rounded = decimal(value).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    whole, _, part = f"{abs(rounded):.{places}f}".partition(".")
    if least is not None:
        part = part.rstrip("0").ljust(least, "0") if len(part) > least else part
    digits = f"{int(whole):,}".replace(",", THIN) + (f".{part}" if part else "")
    sign = MINUS if rounded < 0 else "+" if plus and rounded > 0 else ""
    return sign + digits


def figures(value: Number, wanted: int = 3) -> str:
    """Rounded to that many figures that count, whole digits always kept: 15.882 as ``15.9``."""
    places = max(0, wanted - 1 - decimal(value).adjusted()) if value else 0
    return number(value, min(places, 4))


def grams(value: Number) -> str:
    """What a scale shows: whole grams, or a tenth where the amount has one. ``7 204 g``, ``353.6 g``."""
    return f"{number(value, 1, least=0)}{GAP}g"


def mass(value: Number, units: str = "metric") -> str:
    """Grams to be read rather than weighed: below 1 kg in g, from there in kg to the gram.

    ``units`` "us" or "imperial" adds ounces or pounds beside it: ``7.204 kg (15.9 lb)``.
    """
    whole = decimal(value)
    text = grams(whole) if abs(whole) < 1000 else f"{number(whole / 1000, 3, least=0)}{GAP}kg"
    if units not in ("us", "imperial"):
        return text
    pounds = door.from_grams(mass_g=whole, unit="lb")
    if abs(pounds) >= 1:
        return f"{text} ({figures(pounds)}{GAP}lb)"
    return f"{text} ({figures(door.from_grams(mass_g=whole, unit='oz'))}{GAP}oz)"


GALLONS = {"us": ("US_gal", f"US{GAP}gal"), "imperial": ("imp_gal", f"imperial{GAP}gal")}


def litres(value: Number, units: str = "metric") -> str:
    """Below 1 L in whole mL, from there in L to 10 mL: ``653 mL``, ``4.24 L``, ``15 L``.

    ``units`` "us" or "imperial" adds that gallon beside it: ``15 L (3.96 US gal)``.
    """
    whole = decimal(value)
    small = abs(whole) < 1
    text = f"{number(whole * 1000)}{GAP}mL" if small else f"{number(whole, 2, least=0)}{GAP}L"
    if units not in GALLONS:
        return text
    unit, word = GALLONS[units]
    return f"{text} ({figures(door.from_litres(volume_l=whole, unit=unit))}{GAP}{word})"


def about_litres(value: Number) -> str:
    """A level read from a stick: one decimal, also when it is nought, so that columns line up."""
    return f"{number(value, 1)}{GAP}L"


def sg(value: Number) -> str:
    """Specific gravity, three places, no unit: ``1.424``."""
    return number(value, 3)


def percent(value: Number, places: int = 2) -> str:
    return f"{number(value, places, least=0)}{GAP}%"


def share(value: Number | str) -> str:
    """A share of 0 to 1 as people say it: ``26.5 %``."""
    return percent(100 * Decimal(str(value)), 1)


def nth(value: int) -> str:
    """``1st``, ``2nd``, ``3rd``, ``11th``."""
    teen = value % 100 in (11, 12, 13)
    return f"{value}{'th' if teen else {1: 'st', 2: 'nd', 3: 'rd'}.get(value % 10, 'th')}"


def money(value: Number, currency: str) -> str:
    return f"{number(value, 2)}{GAP}{currency}"


def signed(value: Number, unit: str = "") -> str:
    """A difference: ``+3 g``, ``−30 g``, ``+0.07``; nought bare."""
    text = number(value, 3, least=0, plus=True)
    return f"{text}{GAP}{unit}" if unit else text


def clock(moment: datetime, now: datetime) -> str:
    """The time of day, with the day where it is not today. Both moments in the studio's time zone."""
    time = f"{moment:%H:%M}"
    days = (moment.date() - now.date()).days
    if days == 0:
        return time
    if days in (-1, 1):
        return f"{'tomorrow' if days > 0 else 'yesterday'} {time}"
    day = f"{moment.day} {moment:%b}"
    return f"{day} {time}" if moment.year == now.year else f"{day} {moment.year} {time}"


def ago(moment: datetime, now: datetime) -> str:
    """How long since: ``just now``, ``26 min ago``, ``3 h ago``, ``yesterday``, ``9 days ago``,
    ``6 weeks ago``, and the date when that is half a year.

    A moment still to come reads as its clock time: ``until`` and the like belong to the sentence.
    """
    if moment - now > timedelta(minutes=1):
        return clock(moment, now)
    minutes = int((now - moment).total_seconds() // 60)
    if minutes < 1:
        return "just now"
    if minutes < 60:
        return f"{minutes}{GAP}min ago"
    days = (now.date() - moment.date()).days
    if minutes < 12 * 60 or days == 0:
        return f"{minutes // 60}{GAP}h ago"
    if days == 1:
        return "yesterday"
    if days < 28:
        return f"{days}{GAP}days ago"
    if days < 182:
        return f"{days // 7}{GAP}weeks ago"
    return f"{moment.day} {moment:%b} {moment.year}"
