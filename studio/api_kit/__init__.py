"""The API does the same acts through the same forms as the pages, with one error shape."""

from studio.api_kit.pages import Pages
from studio.api_kit.problems import Invalid, Problem
from studio.api_kit.rows import RowOut, amount
from studio.api_kit.sending import read
from studio.api_kit.views import ActView, AskedWithBody, ListOf, One, Question, act_at, act_view, row_of

__all__ = [
    "ActView",
    "AskedWithBody",
    "Invalid",
    "ListOf",
    "One",
    "Pages",
    "Problem",
    "Question",
    "RowOut",
    "act_at",
    "act_view",
    "amount",
    "read",
    "row_of",
]
