"""Nobody is told that a glaze is "food safe", "non-toxic" or "lead-free": no template, no sentence in the
code, no table, no label."""

import ast
import csv
from pathlib import Path

import pytest
from django.conf import settings
from django.utils.html import strip_tags

from safety.calc.contact import claims_in
from safety.labelling.wording import words_of
from safety.models import Label
from tests.factories import BatchFactory, ContainerFactory, LeachTestFactory, MaterialFactory
from tests.safety.sheet_rows import linseed_filed

ROOT = Path(settings.ROOT)
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
MODULES = [
    path
    for top in ("studio", "safety", "batches", "buckets")
    for path in sorted((ROOT / top).rglob("*.py"))
    if "migrations" not in path.parts and path != ROOT / "safety/calc/contact.py"  # which names them
]
TABLES = sorted((ROOT / "studio/front/demo/data").glob("*.csv")) + sorted(
    (ROOT / "safety/data").glob("*.csv")
)
NAMES_OF_GOODS = {
    "Generic (lead-free) frit"
}  # a row of the table of substances: what is sold, no claim of ours


def test_no_template_claims_it():
    assert len(TEMPLATES) > 100
    found = {path.name: claims_in(strip_tags(path.read_text())) for path in TEMPLATES}
    assert {name: claims for name, claims in found.items() if claims} == {}


def test_no_sentence_in_the_code_claims_it():
    assert len(MODULES) > 200
    found = {str(path.relative_to(ROOT)): _said(path) for path in MODULES}
    assert {name: claims for name, claims in found.items() if claims} == {}


def _said(path):
    """Claims in the texts of a module that are no docstring: those tell developers."""
    tree = ast.parse(path.read_text())
    told = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    texts = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told
    ]
    return [claim for text in texts for claim in claims_in(text)]


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_no_table_claims_it(path):
    with path.open(newline="", encoding="utf-8") as opened:
        cells = [str(cell) for row in csv.reader(opened) for cell in row]
    assert [cell for cell in cells if claims_in(cell) and cell not in NAMES_OF_GOODS] == []


@pytest.mark.django_db
def test_no_label_claims_it(technician):
    linseed_filed()
    LeachTestFactory(version=BatchFactory(state="released").version)
    BatchFactory(state="wet")
    lot = MaterialFactory(name="Talc").lots.get()
    for kind in ("tub", "pot", "tiles", "waste"):
        ContainerFactory(kind=kind, lot=lot)
    labels = list(Label.objects.all())
    assert {label.purpose for label in labels} >= {"bucket", "working", "tub", "pot", "tiles", "waste"}
    for label in labels:
        words = words_of(label, lambda number: f"/sheets/{number}")
        said = str(words) + str(label.content)
        assert "leach test" in said.lower()
        assert claims_in(said) == []
