"""What people type. Rules: edge cases 51, 52 and 53 of the design; spellings invented here."""

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from studio.calc.typed import Ambiguous, TypedProblem, parse_decimal, sg_candidates, typed_back

DECIMALS = st.decimals(min_value=0, max_value=10**9, allow_nan=False, allow_infinity=False, places=6).map(
    lambda d: d.quantize(Decimal("0.00001"))
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1450", "1450"),
        ("1,45", "1.45"),
        ("1.45", "1.45"),
        (" 1,5 ", "1.5"),
        ("0", "0"),
        ("007", "7"),
        (".5", "0.5"),
        (",5", "0.5"),
        ("1.450,0", "1450.0"),  # both present: the last is the decimal mark
        ("1,450.0", "1450.0"),
        ("12.345.678,9", "12345678.9"),
        ("1.234,567", "1234.567"),  # both present, so three digits after the last are decimals
        ("1.450.000", "1450000"),  # several of one kind part thousands
        ("1 450", "1450"),
        ("1\u2009450,5", "1450.5"),  # thin space
        ("1\u202f450", "1450"),  # narrow no-break space
        ("1\u00a0450\u00a0000", "1450000"),
        ("1'450.5", "1450.5"),
        ("1’450", "1450"),
        ("1 234,567", "1234.567"),  # the space parts thousands, so the comma does not
        ("0,123", "0.123"),  # thousands never begin with a nought
        ("1234,567", "1234.567"),  # nor with four digits
        ("1,4567", "1.4567"),  # nor have four
        ("١٫٤٥", "1.45"),  # Arabic-Indic digits and decimal mark
        ("١٬٤٥٠", "1450"),  # and thousands mark
        ("١٬٤٥٠٫٥", "1450.5"),
        ("۱,۴۵", "1.45"),  # extended Arabic-Indic
        ("１．４５", "1.45"),  # full width
        ("１，４５", "1.45"),
        ("१.४५", "1.45"),  # Devanagari
        ("\u200e1,45\u200f", "1.45"),  # direction marks that come with copied text
        ("\u22123,5", "-3.5"),  # a real minus
        ("-3.5", "-3.5"),
        ("－3.5", "-3.5"),
        ("- 3.5", "-3.5"),
        ("+3.5", "3.5"),
        ("-0", "0"),
        ("123456789012345", "123456789012345"),
    ],
)
def test_a_number_is_read_as_it_was_meant(text, value):
    read = parse_decimal(text)
    assert (read, read.is_signed()) == (Decimal(value), Decimal(value).is_signed())


@pytest.mark.parametrize(
    ("text", "readings", "words"),
    [
        ("1,450", ("1.450", "1450"), "read as 1.45 or as 1450."),
        ("1.234", ("1.234", "1234"), "read as 1.234 or as 1234."),
        ("12.500", ("12.500", "12500"), "read as 12.5 or as 12500."),
        ("999,000", ("999", "999000"), "read as 999 or as 999000."),
        ("１．２３４", ("1.234", "1234"), "read as 1.234 or as 1234."),
    ],
)
def test_three_digits_after_one_mark_are_asked_back_with_both_readings(text, readings, words):
    with pytest.raises(Ambiguous) as asked:
        parse_decimal(text)
    assert asked.value.readings == tuple(Decimal(r) for r in readings)
    assert words in asked.value.sentence


def test_the_decimal_mark_may_be_said():
    assert parse_decimal("1.450", point=".") == Decimal("1.45")
    assert parse_decimal("1.450", point=",") == 1450
    assert parse_decimal("1,450", point=".") == 1450
    assert parse_decimal("1.234,5", point=",") == Decimal("1234.5")
    with pytest.raises(TypedProblem):
        parse_decimal("1.234,5", point=".")
    with pytest.raises(ValueError, match="point must be"):
        parse_decimal("1", point=";")


NO_NUMBERS = [
    "abc", "1e3", "1E3", "nan", "NaN", "inf", "-Infinity", "∞", "5kg", "1/2", "½", "²",
    "1_000", "0x10", "-", "--5", "1-2", "5-", ",", ".", "<b>1</b>",
    "=1+1", "1;5", "Ⅷ", "一", "$5", "50%", "–5",
]  # fmt: skip
ODD_GROUPS = ["1,2,3", "1.45.0", "1,45.0", "1.234,5.6", "12.34,5", "1.2345.678"]
ODD_SPACES = ["1 45", "1  450", "1,4 5", "1 234.567,8", "1450 000"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Nothing is typed here yet."),
        ("   \u2009", "Nothing is typed here yet."),
        ("\u200e", "Nothing is typed here yet."),
        *[(text, "This is not a number.") for text in [*NO_NUMBERS, "5 g"]],
        ("1,", "stops at its comma or point"),
        ("1.450,", "stops at its comma or point"),
        *[(text, "do not fit together") for text in ODD_GROUPS + ODD_SPACES],
        ("1234567890123456", "too long"),
        ("0.1234567890123456", "too long"),
        ("9" * 5000, "too long"),
    ],
)
def test_anything_else_is_answered_with_a_sentence(text, words):
    with pytest.raises(TypedProblem, match=words) as problem:
        parse_decimal(text)
    assert problem.value.sentence.endswith(".")
    assert not isinstance(problem.value, Ambiguous)


def outcome(read, text):
    """What ``read`` makes of a text, or the sentence it answers with."""
    try:
        return read(text)
    except TypedProblem as problem:
        return problem.sentence


@given(text=st.text(max_size=20))
def test_whatever_is_typed_is_a_finite_number_or_a_sentence(text):
    number, offers = outcome(parse_decimal, text), outcome(sg_candidates, text)
    assert number if isinstance(number, str) else number.is_finite()
    assert offers if isinstance(offers, str) else all(1 <= c.sg <= Decimal("2.2") for c in offers)


@given(text=st.text(alphabet="0123456789.,  -'٫١", max_size=12))
def test_nearly_numbers_too(text):
    number, offers = outcome(parse_decimal, text), outcome(sg_candidates, text)
    assert number if isinstance(number, str) else number.is_finite()
    assert offers if isinstance(offers, str) else all(1 <= c.sg <= Decimal("2.2") for c in offers)


@given(value=DECIMALS, negative=st.booleans())
def test_what_is_shown_back_is_read_as_the_same_number_and_no_other(value, negative):
    value = -value if negative and value else value
    assert parse_decimal(typed_back(value)) == value


@given(value=DECIMALS)
def test_comma_and_point_are_read_alike(value):
    text = f"{value:f}"
    assert parse_decimal(text) == parse_decimal(text.replace(".", ","))


@given(value=st.integers(0, 10**12), mark=st.sampled_from([" ", "\u2009", "\u202f", "'"]))
def test_thousands_may_be_parted(value, mark):
    assert parse_decimal(f"{value:,}".replace(",", mark)) == value


# --- specific gravity


@pytest.mark.parametrize("text", ["1.45", "1,45", "1,450", "1.00", "2.20", "١٫٤٥", "1"])
def test_a_plain_value_in_range_is_the_one_sure_candidate(text):
    (candidate,) = sg_candidates(text)
    assert candidate.sure
    assert candidate.sg == parse_decimal(text, point="" if text != "1,450" else ",")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("14.5", "decimal mark one place"),  # edge case 51
        ("14,5", "decimal mark one place"),
        ("145", "g in 100 mL"),  # edge case 52, all of them 1.45
        ("1450", "g in one litre"),
        ("1.450,0", "g in one litre"),
        ("29", "ounces in an imperial pint"),
        ("90", "degrees Twaddell"),
        ("45", "degrees Baumé"),
    ],
)
def test_other_ways_of_writing_1_45_are_offered_first_and_never_sure(text, words):
    first, *_ = found = sg_candidates(text)
    assert (first.sg, first.sure) == (Decimal("1.45"), False)
    assert words in first.how
    assert not any(candidate.sure for candidate in found)


@pytest.mark.parametrize("text", ["0", "-1.45", "0.9", "2.21", "3000", "99999"])
def test_what_no_slurry_can_have_brings_no_sure_candidate(text):
    assert not any(candidate.sure for candidate in sg_candidates(text))


@pytest.mark.parametrize("text", ["0", "-1.45", "-145", "3000", "99999"])
def test_and_where_nothing_fits_nothing_is_offered(text):
    assert sg_candidates(text) == []


@given(value=st.decimals(min_value=0, max_value=5000, places=2))
def test_offers_lie_in_the_range_with_the_usual_ones_first(value):
    assume(not Decimal("1.00") <= value <= Decimal("2.20"))
    found = [candidate.sg for candidate in sg_candidates(f"{value:f}")]
    assert all(Decimal("1.05") <= sg <= Decimal("2.20") for sg in found)
    usual = [Decimal("1.30") <= sg <= Decimal("1.80") for sg in found]
    assert usual == sorted(usual, reverse=True)


def test_text_that_is_no_number_is_a_sentence_for_sg_too():
    with pytest.raises(TypedProblem, match="not a number"):
        sg_candidates("thick")
