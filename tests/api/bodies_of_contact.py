"""Good requests for the acts on leach tests."""

from typing import Any

from tests import factories

Act = tuple[str, dict[str, Any]]
RESULTS = [
    {"piece": 1, "element": "Pb", "value": "0.21", "unit": "mg/L"},
    {"piece": 1, "element": "Cd", "value": 0.01, "unit": "mg/L", "below": "below"},
    {"piece": 2, "element": "Pb", "value": "180", "unit": "µg/L"},
]
TEST = {
    "clay": "buff stoneware", "firing": "cone 6, oxidation", "layers": "two coats", "laboratory": "Fernhill",
    "report_number": "FT-7", "reported_on": "2025-01-20", "method": "ISO 6486-1",
    "leachant": "acetic acid 4 %", "hours": 24, "temperature_c": "22", "depth_mm": "80.5", "volume_ml": 350,
    "use": "cup", "pieces": 2,
    "limit_set": "EU 84/500", "note": "Read from the wrong page before.", "rows": RESULTS,
}  # fmt: skip


def acts() -> dict[str, Act]:
    """A version that is tested, and a record that was wrong."""
    wrong = factories.LeachTestFactory(version=factories.VersionFactory(name="Fern"))
    body = TEST | {"version": wrong.version_id}
    return {
        "record_leach_test": ("leach-tests/record-leach-test/", body),
        "correct_leach_test": (f"leach-tests/{wrong.pk}/correct-leach-test/", body),
    }
