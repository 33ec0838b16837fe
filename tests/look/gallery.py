"""Every state of the look on sample rows: what the tests judge and what a person can turn into pictures.

The rows are invented; their figures are those of Rockpool and Gannet White in the demo studio's
description, times are counted back from now.
"""

from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace as Row

from django import forms
from django.template import engines
from django.test import RequestFactory
from django.utils import timezone

HERE = Path(__file__).parent
PAGES = ("shelf", "shelf_empty", "bucket", "answers", "bench", "form", "list", "notes", "icons")
ERRORS = ("403.html", "404.html", "500.html", "people/locked.html", "front/label_void.html")
BAR = [("/", "Today"), ("/shelf/", "Shelf"), ("/making/", "Making"), ("/store/", "Store")]
BAR += [("/recipes/", "Recipes"), ("/labels/", "Binder")]


class Person:
    is_authenticated = True
    units = "us"

    def __str__(self) -> str:
        return "Bram"


class AmountWidget(forms.MultiWidget):
    def decompress(self, value):
        return [value, "g"]


class AmountField(forms.MultiValueField):
    def __init__(self, units, **kwargs):
        choices = [(unit, unit) for unit in units]
        widgets = [forms.TextInput({"inputmode": "decimal"}), forms.Select(choices=choices)]
        fields = (forms.DecimalField(), forms.ChoiceField(choices=choices))
        super().__init__(fields, widget=AmountWidget(widgets), **kwargs)

    def compress(self, values):
        return values[0] if values else None


class Unit(forms.CharField):
    unit = "cm"


class SampleForm(forms.Form):
    glaze = forms.ChoiceField(choices=[("RO", "Rockpool"), ("GW", "Gannet White")])
    wish = forms.ChoiceField(
        label="How do you want to say the amount?",
        widget=forms.RadioSelect,
        choices=[("l", "Litres at a specific gravity"), ("dry", "Dry mass"), ("to", "Bring B02 to a level")],
    )
    dry = AmountField(("g", "kg", "oz", "lb"), label="Dry mass of the base")
    depth = Unit(
        label="Depth on the stick",
        help_text="Stir first, then read the wet mark.",
        widget=forms.TextInput({"inputmode": "decimal"}),
    )
    note = forms.CharField(required=False, widget=forms.Textarea, label="Note")
    stirred = forms.BooleanField(label="Stirred to the floor", help_text="Two minutes for this glaze.")

    def clean_depth(self):
        raise forms.ValidationError("58 cm is deeper than the bucket: B05 is 35.0 cm inside. Read it again.")


def checks(now):
    return [
        Row(answer="dip", title="Dip", sentence="1.451 today, inside the window; stirred 4 min ago.",
            until=now + timedelta(minutes=11), reasons=[]),
        Row(answer="stir first", title="Stir first", until=None, reasons=[],
            sentence="Last stirred 26 min ago by Marek; this glaze settles in about 5 min. Two minutes."),
        Row(answer="measure first", title="Measure first", until=None, reasons=[],
            sentence="The last reading is 9 days old, the limit is 7. Stir, then take a reading."),
        Row(answer="do not use", title="Do not use", until=None, reasons=["Tamsin looks at it today."],
            sentence="Held since 18:40: “blue specks on the rim of two mugs”. Take another bucket."),
    ]  # fmt: skip


def buckets(now):
    ages = (0.2, 3, 5, 26 / 60, 4 / 60, 49, 30, 0.15)
    rows = [
        ("B02", "Gannet White", "opaque gloss, white", "#cfd3cd", 22, 14.9, 1.451, "dip", "cone 6 ox"),
        ("B03", "Harbour Fog", "satin, pale grey", "#aab3b6", 16, 9.1, 1.437, "stir first", "cone 6 ox"),
        ("B04", "Linseed", "transparent, amber", "#c08a3e", 12, 8.1, 1.418, "do not use", "cone 6 ox"),
        ("B05", "Rockpool", "fluid, green-blue", "#6f9aa0", 15, 8.3, 1.424, "stir first", "cone 6 ox"),
        ("B06", "Slate Hour", "matt, dark blue-grey", "#4b5d72", 20, 11.4, 1.462, "dip", "cone 6 ox"),
        ("B07", "Damson Skin over a very long second name that does not end", "semi-gloss, plum to rust",
         "#6d3b3a", 11, 7.4, 1.455, "measure first", "cone 6 ox"),
        ("B09", "Peat Pool", "near-black breaking rust", "#2c2320", None, 8.8, None, "measure first",
         "cone 10 red"),
        ("B10", "Willow Veil", "soft blue-green", "#9db8ac", 17, 10.2, 1.441, "dip", "cone 10 red"),
    ]  # fmt: skip
    names = ("code", "name", "surface", "colour", "depth", "litres", "sg", "answer", "fires")
    return [
        Row(
            stirred=now - timedelta(hours=age),
            measured=now - timedelta(days=age),
            **dict(zip(names, row, strict=True)),
        )
        for row, age in zip(rows, ages, strict=True)
    ]  # fmt: skip


def context(page: str) -> dict:
    now = timezone.now()
    day = timedelta(days=1)
    path = {"list": "/making/", "bucket": "/shelf/B05/"}.get(page, "/shelf/")
    typed = {"glaze": "RO", "dry_0": "11,5", "dry_1": "kg", "depth": "58", "wish": "dry"}
    heights = (1.423, 1.425, 1.430, 1.432, 1.4385, 1.421, 1.424, 1.428, 1.431, 1.4345, 1.420, 1.421, 1.424)
    days = (42, 39, 35, 32, 28, 25, 21, 18, 14, 11, 7, 4, 2)
    return {
        "bar": [{"address": a, "word": w, "here": a != "/" and path.startswith(a)} for a, w in BAR],
        "user": Person(),
        "units": "us",
        "request": RequestFactory().get(path),
        "now": now,
        "checks": checks(now),
        "buckets": [] if page == "shelf_empty" else buckets(now),
        "points": [(now - d * day, sg) for d, sg in zip(days, heights, strict=True)],
        "events": [(now - 25.5 * day, "water 0.4 L"), (now - 7.2 * day, "water 0.3 L")],
        "form": SampleForm(typed),
        "fresh": SampleForm(initial={"dry": None}, prefix="fresh"),
        "label": Row(serial="Q4102"),
        "current": Row(serial="Q4236"),
        "bucket_url": "/shelf/B09/",
        "icons": sorted(__import__("studio.drawings", fromlist=["ICONS"]).ICONS),
    }


def render(page: str) -> str:
    """A whole page of the gallery, or one of the error pages, as HTML."""
    django = engines["django"]
    if page in ERRORS:
        template = django.get_template(page)
    else:
        template = django.from_string((HERE / "templates" / "look" / f"{page}.html").read_text())
    return template.render(context(page))
