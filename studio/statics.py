"""Static files under names that tell their content."""

from functools import cache
from typing import Any

from whitenoise.storage import CompressedManifestStaticFilesStorage


class StaticFiles(CompressedManifestStaticFilesStorage):
    """As WhiteNoise keeps them; each address is worked out once, for it changes with a new start only."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.url = cache(super().url)  # type: ignore[method-assign]
