"""Every check value of the reference files that a function of ours answers to."""

from pathlib import Path

import pytest

from studio.front.check_values import read_cases, run_case
from studio.front.checks import CHECKS

FILES = sorted((Path(__file__).parent / "reference").glob("*_checks.json"))
CASES = [(file.name, case) for file in FILES for case in read_cases(file)]
ANSWERED = [(name, case) for name, case in CASES if case["fn"] in CHECKS]


@pytest.mark.parametrize(("name", "case"), ANSWERED, ids=[f"{name}:{case['id']}" for name, case in ANSWERED])
def test_our_function_gives_the_checked_value(name, case):
    assert run_case(case, table=CHECKS).problems == ()


@pytest.mark.parametrize(
    ("file", "sections", "count"),
    [
        ("slurry_checks.json", "a b c d e f g n", 84),
        ("slurry_checks.json", "j", 15),
        ("slurry_checks.json", "l m", 18),
        ("layering_checks.json", "3a 3b 3c 3d 3e", 18),
    ],
)
def test_every_case_of_the_sections_that_are_built_is_answered(file, sections, count):
    built = {case["id"] for name, case in CASES if name == file and case["section"] in sections.split()}
    answered = {case["id"] for name, case in ANSWERED if name == file}
    assert len(built) == count
    assert built <= answered


def test_every_name_in_the_table_is_asked_for_by_a_file():
    assert set(CHECKS) <= {case["fn"] for _, case in CASES}


@pytest.mark.parametrize(
    ("name", "case"), ANSWERED[::9], ids=lambda value: value if isinstance(value, str) else ""
)
def test_a_wrong_value_would_be_seen(name, case):
    spoilt = {**case, "out": {key: _spoilt(value) for key, value in case["out"].items()}}
    assert len(run_case(spoilt, table=CHECKS).problems) == len(case["out"])


def _spoilt(value):
    if isinstance(value, list):
        return [_spoilt(value[0]), *value[1:]] if value else ["something"]
    return (
        value * 1.001 + 1e-3 if isinstance(value, (int, float)) and not isinstance(value, bool) else "other"
    )
