"""From classes to what a label shows: signal word, pictograms, statements that need not be printed twice.

CLP Articles 20 to 27 and Annex I [O]; held against the labelling columns of Annex VI (cases L01 to L08).
"""

from collections.abc import Iterable
from dataclasses import dataclass

DANGER, WARNING = "Danger", "Warning"
_DANGER = (
    "Acute Tox. 1", "Acute Tox. 2", "Acute Tox. 3", "Skin Corr.", "Eye Dam.", "Resp. Sens.", "Muta. 1",
    "Carc. 1", "Repr. 1", "STOT SE 1", "STOT RE 1", "Ox. Sol. 1", "Ox. Sol. 2", "Flam. Liq. 1",
    "Flam. Liq. 2", "Flam. Sol. 1", "Asp. Tox. 1",
)  # fmt: skip
_SILENT = ("Aquatic Chronic 2", "Aquatic Chronic 3", "Aquatic Chronic 4", "Lact.")
_PICTURES = (
    ("GHS06", ("Acute Tox. 1", "Acute Tox. 2", "Acute Tox. 3")),
    ("GHS05", ("Skin Corr.", "Eye Dam.", "Met. Corr.")),
    ("GHS08", ("Resp. Sens.", "Muta.", "Carc.", "Repr.", "STOT SE 1", "STOT SE 2", "STOT RE", "Asp. Tox.")),
    ("GHS03", ("Ox. ",)),
    ("GHS02", ("Flam.", "Pyr.", "Self-", "Water-react.")),
    ("GHS09", ("Aquatic Acute 1", "Aquatic Chronic 1", "Aquatic Chronic 2")),
)
# Why the exclamation mark stands, by the reason it may be dropped for.
_MARK_ACUTE, _MARK_SE3 = ("Acute Tox. 4",), ("STOT SE 3",)
_MARK_IRRITANT, _MARK_SENSITISER = ("Skin Irrit.", "Eye Irrit."), ("Skin Sens.",)


@dataclass(frozen=True, kw_only=True)
class LabelElements:
    """What a label shows; ``euh``: supplemental statements, EU only."""

    signal_word: str | None
    pictograms: tuple[str, ...]
    h_codes: tuple[str, ...]
    p_codes: tuple[str, ...] = ()
    euh: tuple[str, ...] = ()


def label_elements(*, classes: Iterable[str], h_codes: Iterable[str]) -> LabelElements:
    """Signal word, pictograms by precedence, and the statements that are printed.

    GHS06 takes GHS07 away; GHS05 does for irritation; respiratory sensitisation does for irritation and skin
    sensitisation. H314 says H318; H400 with H410 to H412 is printed as H410. None and empty: not classified.
    """
    found, codes = tuple(classes), tuple(h_codes)
    return LabelElements(
        signal_word=_signal(found), pictograms=_pictograms(found), h_codes=printed(codes), p_codes=()
    )


def _has(classes: Iterable[str], *beginnings: str) -> bool:
    return any(cls.startswith(beginnings) for cls in classes)


def _signal(classes: tuple[str, ...]) -> str | None:
    if _has(classes, *_DANGER):
        return DANGER
    speaking = [cls for cls in classes if not cls.startswith(_SILENT)]
    return WARNING if speaking else None


def _pictograms(classes: tuple[str, ...]) -> tuple[str, ...]:
    found = {picture for picture, beginnings in _PICTURES if _has(classes, *beginnings)}
    if _exclamation(classes, found):
        found.add("GHS07")
    return tuple(sorted(found))


def _exclamation(classes: tuple[str, ...], found: set[str]) -> bool:
    if "GHS06" in found:
        return False
    lungs = _has(classes, "Resp. Sens.")
    irritant = _has(classes, *_MARK_IRRITANT) and "GHS05" not in found and not lungs
    sensitiser = _has(classes, *_MARK_SENSITISER) and not lungs
    return irritant or sensitiser or _has(classes, *_MARK_ACUTE, *_MARK_SE3)


def printed(h_codes: Iterable[str]) -> tuple[str, ...]:
    """The statements of a label, in the order of their codes."""
    codes = set(h_codes)
    if "H314" in codes:
        codes.discard("H318")
    if "H400" in codes and codes & {"H410", "H411", "H412"}:
        codes -= {"H400", "H411", "H412"}
        codes.add("H410")
    return tuple(sorted(codes))
