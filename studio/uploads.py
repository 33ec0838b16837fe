"""What people send as files: held in memory, bounded, never laid on the disk before it is judged."""

from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import InMemoryUploadedFile
from django.core.files.uploadhandler import FileUploadHandler

MOST_BYTES = 10_000_000  # of one file that is kept in memory
MOST_FILES = 6  # what comes after them is counted and forgotten


class Bounded(FileUploadHandler):
    """Each file up to a limit. Beyond it the bytes are counted and dropped, so that a page can say it."""

    def __init__(self, request: Any = None) -> None:
        super().__init__(request)
        self.files = 0

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        super().new_file(*args, **kwargs)
        self.files += 1
        self.kept, self.size = BytesIO(), 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        self.size += len(raw_data)
        if self.size <= MOST_BYTES and self.files <= MOST_FILES:
            self.kept.write(raw_data)
        else:
            self.kept = BytesIO()

    def file_complete(self, file_size: int) -> InMemoryUploadedFile:
        self.kept.seek(0)
        # the size that was sent: what reads the file tells by it that the rest was dropped
        return InMemoryUploadedFile(
            self.kept, self.field_name, self.file_name, self.content_type, file_size, self.charset
        )
