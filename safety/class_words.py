"""What the short names of classes mean, in plain words: our own wording of the laws' chapter titles."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

# By the beginning of a class, in the order of the chapters of CLP Annex I (titles opened, words our own).
MEANS = {
    "Ox. Sol.": "an oxidising solid: makes other things burn harder",
    "Acute Tox.": "poisonous at once: by mouth (oral), through the skin (dermal), breathed in (inhalation); "
    "1 is the gravest, 4 the mildest",
    "Skin Corr.": "burns the skin",
    "Skin Irrit.": "irritates the skin",
    "Eye Dam.": "causes serious harm to the eyes",
    "Eye Irrit.": "irritates the eyes",
    "Resp. Sens.": "makes the airways allergic",
    "Skin Sens.": "makes the skin allergic",
    "Muta.": "may change genes that are passed on; 1A known, 1B presumed, 2 suspected",
    "Carc.": "may cause cancer; 1A known in people, 1B presumed, 2 suspected",
    "Repr.": "may harm fertility or the unborn child; 1A known in people, 1B presumed, 2 suspected",
    "Lact.": "may harm breast-fed children",
    "STOT SE": "harms an organ after a single exposure; 3 irritates the airways or makes drowsy",
    "STOT RE": "harms an organ, the lungs for instance, after long or repeated exposure; 1 is the graver",
    "Asp. Tox.": "may kill if it is swallowed and gets into the airways",
    "Aquatic Acute": "poisons life in water at once",
    "Aquatic Chronic": "harms life in water for long; 1 is the gravest, 4 the mildest",
}
FIGURES = {
    "ATE": "acute toxicity estimate: about the dose, or the amount in air, that kills; the lower, the worse",
    "M-factor": "how many times over a share counts for harm to water",
}


def short_names(classes: Iterable[str], *, figures: bool = False) -> list[tuple[str, str]]:
    """Every short name among ``classes`` once with its plain words; ``figures``: ATE and M-factor, too."""
    found = tuple(classes)
    named = [(name, said) for name, said in MEANS.items() if any(cls.startswith(name) for cls in found)]
    return [*named, *(FIGURES.items() if figures else ())]


def classes_of(result: Mapping[str, Any], inputs: Mapping[str, Any]) -> Iterator[str]:
    """Every class a page of a result names: of the mixture, of its lines, of its substances."""
    yield from result.get("classes", ())
    yield from (line["cls"] for line in result.get("lines", ()))
    yield from result.get("physical_to_review", ())
    for row in inputs.get("substances", ()):
        yield from classes_in(row["hazards"])


def classes_in(hazards: Mapping[str, Any]) -> Iterator[str]:
    """Every class that is said of a substance, those of its specific limits included."""
    yield from hazards.get("classes", ())
    yield from (limit["cls"] for limit in hazards.get("limits", ()))
