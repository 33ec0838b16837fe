"""verify: what agrees, what it says, and how it ends."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from studio.front.check_values import rule_for, run_case

DENSITY = {"fn": "mean_density", "in": {"masses": [1, 1], "densities": [2, 3]}}  # 2.4, by hand


@pytest.fixture
def verify(tmp_path):
    """Run the command on cases written to a file; the answer is (lines, exit code)."""

    def run(*cases, **options):
        file = tmp_path / "some_checks.json"
        file.write_text(json.dumps({"cases": cases}))
        out = StringIO()
        try:
            call_command("verify", str(file), stdout=out, **options)
        except SystemExit as end:
            return out.getvalue().splitlines(), end.code
        return out.getvalue().splitlines(), 0

    return run


def test_a_value_that_agrees_passes(verify):
    assert verify({"id": "x1", **DENSITY, "out": {"rho_s": 2.4}}) == (["1 passed, 0 failed"], 0)


def test_a_value_that_disagrees_has_a_line_of_its_own_and_exit_one(verify):
    lines, code = verify({"id": "x1", **DENSITY, "out": {"rho_s": 2.41}})
    assert lines[0].startswith("some_checks.json x1: rho_s: wanted 2.41, got 2.4")
    assert lines[1:] == ["0 passed, 1 failed"]
    assert code == 1


def test_an_unknown_fn_is_named_and_ends_with_exit_one(verify):
    lines, code = verify(
        {"id": "x1", **DENSITY, "out": {"rho_s": 2.4}},
        {"id": "x2", "fn": "stir_counter", "in": {}, "out": {"n": 1}},
    )
    assert lines[0] == "some_checks.json x2: unknown fn stir_counter"
    assert lines[-1] == "1 passed, 0 failed"
    assert code == 1


def test_only_the_sections_asked_for_are_run(verify):
    good = {"id": "x1", "section": "a", **DENSITY, "out": {"rho_s": 2.4}}
    bad = {"id": "x2", "section": "b", **DENSITY, "out": {"rho_s": 9}}
    worse = {"id": "x3", **DENSITY, "out": {"rho_s": 9}}
    assert verify(good, bad, worse, section="a, c") == (["1 passed, 0 failed"], 0)
    assert verify(good, bad, worse)[1] == 1


def test_a_refused_argument_is_a_failure_and_not_a_crash(verify):
    lines, code = verify({"id": "x1", "fn": "mean_density", "in": {"mass": [1]}, "out": {"rho_s": 2}})
    assert "mean_density refused" in lines[0]
    assert lines[-1] == "0 passed, 1 failed"
    assert code == 1


def test_an_output_we_do_not_have_is_a_failure(verify):
    lines, _ = verify({"id": "x1", **DENSITY, "out": {"colour": "red"}})
    assert lines[0] == "some_checks.json x1: colour is missing"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("{", "is not JSON"),
        ("[]", 'has no list of "cases"'),
        ('{"cases": [{"id": "x"}]}', 'needs "id", "fn", "in" and "out"'),
        ('{"cases": [{"id": "x", "fn": "f", "in": {}, "out": {}}]}', "it could not fail"),
        ('{"cases": []}', "nothing to check"),
    ],
)
def test_a_file_of_another_form_is_refused_with_its_reason(tmp_path, text, sentence):
    file = tmp_path / "odd.json"
    file.write_text(text)
    with pytest.raises(CommandError, match=sentence):
        call_command("verify", str(file))


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("verify", str(tmp_path / "none.json"))


def test_a_section_that_no_case_is_in_is_refused(verify):
    with pytest.raises(CommandError, match="no case in section z"):
        verify({"id": "x1", "section": "a", **DENSITY, "out": {"rho_s": 2.4}}, section="z")


# --- when a value agrees (the form of check-value files in the product's own design)


@pytest.mark.parametrize(
    ("tolerance", "wanted", "got", "agrees"),
    [
        (None, 1.0, 1.0 + 0.9e-5, True),
        (None, 1.0, 1.0 + 1.1e-5, False),
        (None, 0.0, 0.9e-9, True),
        (None, 0.0, 1.1e-9, False),
        (0.01, 100.0, 100.009, True),
        (0.01, 100.0, 100.011, False),
        (0, 3, 3.0, True),
        (0, 3, 3.0000001, False),
        ({"rel": 0.01, "abs": 0.5}, 10.0, 10.4, True),
        ({"rel": 0.01, "abs": 0.5}, 1000.0, 1009.0, True),
        ({"rel": 0.01, "abs": 0.5}, 10.0, 10.6, False),
        ({"exact": True}, 0.3, 0.1 + 0.2, False),
        ({"exact": True}, 5, 5.0, True),
        ({"other_abs": 5}, 1.0, 1.1, False),
        ({"x_abs": 0.2, "abs": 0}, 1.0, 1.1, True),
        ({"x": 0.2}, 1.0, 1.1, True),
        ({"x": "exact", "rel": 1}, 1.0, 1.1, False),
        (None, ["b", "a"], ["a", "b"], True),
        (None, ["b", "a"], ["a", "c"], False),
        ({"exact": True}, ["b", "a"], ["a", "b"], False),
        (None, [1.0, 2.0], [2.0, 1.0], False),
        (None, [1.0, 2.0], (1.0, 2.0), True),
        (None, [1.0], [1.0, 2.0], False),
        (None, {"p": 1.0}, {"p": 1.0, "q": 2.0}, True),
        (None, {"p": 1.0, "q": 2.0}, {"p": 1.0}, False),
        (None, True, 1, False),
        (None, 1, True, False),
        (None, None, None, True),
        (None, None, 0, False),
        (None, "ok", "ok", True),
        (None, "ok", "bad", False),
        (None, 1.0, float("nan"), False),
    ],
)
def test_values_agree_by_the_rule_of_the_case(tolerance, wanted, got, agrees):
    case = {"id": "x", "fn": "f", "in": {}, "out": {"x": wanted}, "tolerance": tolerance}
    outcome = run_case(case, table={"f": lambda: {"x": got}})
    assert (outcome.word == "passed") is agrees


def test_a_key_that_begins_an_outputs_name_speaks_of_it_and_the_longest_wins():
    tolerance = {"masses_abs": 0.02, "masses_fine": 0.001, "rel": 0.002, "verdict": "exact"}
    assert rule_for("masses_g", tolerance).absolute == 0.02
    assert rule_for("masses_fine_g", tolerance).absolute == 0.001
    assert rule_for("verdict", tolerance).exact
    assert rule_for("delta", tolerance).rel == 0.002


def test_a_tolerance_that_makes_no_sense_is_a_failure():
    case = {"id": "x", "fn": "f", "in": {}, "out": {"x": 1}, "tolerance": "roughly"}
    assert run_case(case, table={"f": lambda: {"x": 1}}).word == "failed"
