"""Labels for tests of the builder, and what a printed page measures.

The hazards are typed here, not worked out: they are what a glaze like Rockpool ("demo_studio.md" 2) comes to
with copper carbonate and quartz in it. Names, address and phone are invented.
"""

from dataclasses import dataclass
from typing import Any

import pypdfium2
import zxingcpp
from django.template.loader import render_to_string
from django.utils import timezone

from safety.labelling.builder import Job, Wish, build
from safety.models import Label
from studio import printing

MM = 25.4 / 72  # a point
DPI = 300
HAZARDS = {
    "classified": True,
    "missing": False,
    "number": "K0012",
    "law": "EU",
    "rules": "CLP, text of 1 July 2026 with its adaptations",
    "date": "2026-11-20",
    "identifiers": ["copper(II) carbonate hydroxide", "quartz, fine fraction"],
    "signal_word": "Danger",
    "pictograms": ["GHS08", "GHS07", "GHS09"],
    "h": [
        ["H302", "Harmful if swallowed."],
        ["H350i", "May cause cancer by inhalation."],
        ["H372", "Causes damage to organs (lungs) through prolonged or repeated exposure."],
        ["H411", "Toxic to aquatic life with long lasting effects."],
    ],
    "p": [
        ["P201", "Obtain special instructions before use."],
        ["P260", "Do not breathe dust or spray."],
        ["P280", "Wear protective gloves/protective clothing/eye protection/face protection."],
        ["P308+P313", "IF exposed or concerned: Get medical advice/attention."],
        ["P273", "Avoid release to the environment."],
        ["P501", "Dispose of contents/container to the glaze waste."],
    ],
    "euh": [["EUH208", "Contains cobalt carbonate. May produce an allergic reaction."]],
    "unknown_acute": ["4 % of the mixture consists of ingredients of unknown acute toxicity (if swallowed)."],
    "marks": [
        "Dry basis: the classes are those of the dry powder.",
        "Assumed: something in it is assumed, not known.",
    ],
    "sheets": [
        ["Silica", "S014"],
        ["Copper carbonate", "S021"],
        ["Wollastonite", "S017"],
        ["Kaolin", "S003"],
    ],
    "supplier": {
        "name": "Studio Vuurstraat",
        "address": "Vuurstraat 12, Gent",
        "phone": "+32 9 555 01 23",
        "emergency": "112",
    },
    "food": "No leach test on record.",
}
ROCKPOOL = {
    "glaze": "Rockpool",
    "cone": "6",
    "atmosphere": "oxidation",
    "version": 3,
    "batch": "26-014",
    "contents": [],
    "hazards": HAZARDS,
}


def pail(serial: str = "Q4168", **more: Any) -> Label:
    """Rockpool in a 20 L pail."""
    window = {"state": "in use", "sg_low": "1.405", "sg_high": "1.435", "capacity_l": "20"}
    return label(serial, "bucket", {**ROCKPOOL, **window, **more}, "B05")


def cup(serial: str = "Q4169", **more: Any) -> Label:
    """A 0.5 L cup of it, thinned."""
    said = {"short": "RP", "how": "thinned", "to_sg": "1.38", "vessel": "B05", "capacity_l": "0.5"}
    return label(serial, "cup", {**ROCKPOOL, **said, **more}, "B05")


def tub(serial: str = "Q4170", **more: Any) -> Label:
    """A tub with 2 kg of the dry glaze; it holds 2.5 L."""
    said = {"title": "Rockpool, dry", "lead": "decanted tub", "capacity_l": "2.5"}
    return label(serial, "tub", {**ROCKPOOL, **said, **more})


def label(serial: str, purpose: str, content: dict[str, Any], vessel: str = "") -> Label:
    return Label(
        serial=serial, purpose=purpose, vessel_code=vessel, content=content, printed_at=timezone.now()
    )


def sheet_address(number: str) -> str:
    return f"/binder/sheets/{int(number[1:])}/"


def html_of(labels: list[Label], job: Job) -> str:
    kinds = {page.name: page for page in job.pages}.values()
    context = {"labels": labels, "pages": job.pages, "kinds": kinds, "on_paper": True}
    return render_to_string("print/labels.html", context)


def printed(labels: list[Label], wish: Wish | None = None) -> tuple[Job, "Paper"]:
    """The job, and its PDF to be measured."""
    job = build(labels, wish or Wish(), sheet_address)
    return job, Paper(printing.pdf(html_of(labels, job)))


@dataclass
class Diamond:
    """A pictogram as it came out, mm from the upper left corner of its page."""

    left: float
    top: float
    side: float


class Paper:
    """A PDF as a ruler sees it; all in mm."""

    def __init__(self, pdf: bytes) -> None:
        self.pdf = pypdfium2.PdfDocument(pdf)

    def __len__(self) -> int:
        return len(self.pdf)

    def size(self, page: int) -> tuple[float, float]:
        wide, high = self.pdf[page].get_size()
        return wide * MM, high * MM

    def text(self, page: int) -> str:
        return " ".join(self.pdf[page].get_textpage().get_text_range().replace("\x02", "").split())

    def letters(self, page: int) -> list[tuple[str, float, float, float, float]]:
        """Every letter with left, top, right and bottom of its ink."""
        read, (_, high) = self.pdf[page].get_textpage(), self.size(page)
        found = []
        for index in range(read.count_chars()):
            letter = read.get_text_range(index, 1)
            left, bottom, right, top = (value * MM for value in read.get_charbox(index))
            if letter.strip() and right > left:
                found.append((letter, left, high - top, right, high - bottom))
        return found

    def x_height(self, page: int) -> float:
        """The smallest letter without strokes up or down; endless where there is none."""
        high = [bottom - top for letter, _, top, _, bottom in self.letters(page) if letter in "xzvw"]
        return min(high, default=float("inf"))

    def picture(self, page: int):
        return self.pdf[page].render(scale=DPI / 72).to_pil().convert("RGB")

    def codes(self, page: int) -> list[str]:
        read = zxingcpp.read_barcodes(self.picture(page), formats=zxingcpp.BarcodeFormat.QRCode)
        return [code.text for code in read]

    def diamonds(self, page: int) -> list[Diamond]:
        """Red frames, from left to right: each a square standing on its point, as wide as its diagonal."""
        red = self.picture(page).split()
        mask = [r > 180 and g < 90 for r, g in zip(red[0].tobytes(), red[1].tobytes(), strict=True)]
        wide = self.picture(page).width
        columns = sorted({index % wide for index, is_red in enumerate(mask) if is_red})
        rows = [index // wide for index, is_red in enumerate(mask) if is_red]
        found, start = [], 0
        for at in range(1, len(columns) + 1):
            if at == len(columns) or columns[at] > columns[at - 1] + 3:
                across = (columns[at - 1] - columns[start] + 1) / DPI * 25.4
                found.append(Diamond(columns[start] / DPI * 25.4, min(rows) / DPI * 25.4, across / 2**0.5))
                start = at
        return found
