"""Long lists in pages, by cursor: no counting of a million rows."""

import re
from typing import Any

from rest_framework.exceptions import NotFound
from rest_framework.pagination import CursorPagination

from studio.api_kit.problems import Invalid

NUMBER = re.compile("[0-9]{1,18}")
NO_CURSOR = "This cursor leads nowhere. Start with the first page, without a cursor."


class Pages(CursorPagination):
    """Newest first; ``next`` and ``previous`` are whole addresses, null at the ends."""

    ordering = "-id"
    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = 200

    def get_page_size(self, request: Any) -> int:
        typed = request.query_params.get(self.page_size_query_param)
        if typed is None:
            return self.page_size
        if typed.isascii() and typed.isdigit() and len(typed) < 4 and 1 <= int(typed) <= self.max_page_size:
            return int(typed)
        wrong = f"A page has 1 to {self.max_page_size} rows."
        raise Invalid({self.page_size_query_param: [wrong]}, status=400)

    def decode_cursor(self, request: Any) -> Any:
        try:
            cursor = super().decode_cursor(request)
        except NotFound as error:
            raise Invalid({"cursor": [NO_CURSOR]}, status=400) from error
        where = cursor.position if cursor else None
        if where is not None and not NUMBER.fullmatch(where):
            raise Invalid({"cursor": [NO_CURSOR]}, status=400)
        return cursor

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        return [
            {
                "name": "cursor",
                "in": "query",
                "required": False,
                "description": "Where a page begins, as it stands in next and previous of an answer.",
                "schema": {"type": "string"},
            },
            {
                "name": "page_size",
                "in": "query",
                "required": False,
                "description": f"Rows in a page; {self.page_size} when it is left out.",
                "schema": {"type": "integer", "minimum": 1, "maximum": self.max_page_size},
            },
        ]

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        link = {"type": "string", "format": "uri", "nullable": True}
        return {
            "type": "object",
            "required": ["next", "previous", "results"],
            "properties": {"next": link, "previous": dict(link), "results": schema},
        }
