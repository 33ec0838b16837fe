"""Rows of one form: as many as are shown, more on demand; a row in which nothing is typed is left out."""

from collections.abc import Mapping
from typing import Any

from studio.fields import ReadableForm
from studio.tone import speak


class RowForm(ReadableForm):
    """One row, by its place "row0", "row1" … ``typed_in``: inputs that make it one somebody uses."""

    typed_in: tuple[str, ...] = ()

    def __init__(self, *args: Any, number: int, **kwargs: Any) -> None:
        super().__init__(*args, prefix=f"row{number}", **kwargs)
        self.number = number + 1  # as people count
        speak(self.fields.values())

    def full_clean(self) -> None:
        """A blank row is not judged, so that it shows no sentence either."""
        super().full_clean()
        if self.is_bound and self.blank:
            self._errors.clear()

    @property
    def blank(self) -> bool:
        """Whether nothing is typed in it."""
        return not any(str(self.data.get(self.add_prefix(name), "")).strip() for name in self.typed_in)


def rows_wanted(data: Mapping[str, Any] | None, *, first: int, most: int) -> int:
    """How many rows a form shows: ``first`` of them, then as many as were sent, ``first`` more on demand."""
    if data is None:
        return first
    sent = str(data.get("rows", ""))[:4]
    wanted = min(int(sent), most) if sent.isascii() and sent.isdigit() else first
    return min(wanted + (first if "more" in data else 0), most)


def typed_rows(data: Mapping[str, Any]) -> list[str]:
    """What was typed in rows, as it was typed."""
    return [f"{name}={data[name]}" for name in data if name.startswith("row") and data.get(name)]
