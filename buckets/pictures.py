"""Photos of what was reported: judged by what is in them, made anew, kept by their hash.

Nothing of what was sent is kept: the picture is decoded, turned upright and written again, so place,
maker, thumbnail and whatever else came in the file are gone. Files are written only when the act that
speaks of them is certain (``keep`` goes with the transaction).
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from django.conf import settings
from django.db import transaction
from PIL import Image, ImageFile, ImageOps

from studio.files import write_whole

FOLDER = "photos"
MOST_PHOTOS = 4
MOST_BYTES = 10_000_000
LONG_SIDE, SMALL_SIDE = 2048, 400  # pixels
MOST_SIDE = 20_000
# A JPEG is decoded at a fraction of its size; the other two are laid out whole, 4 bytes a pixel.
MOST_PIXELS = {"JPEG": 64_000_000, "PNG": 24_000_000, "WEBP": 24_000_000}
HEIC = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1", b"avif", b"avis")

ONLY = "This is no JPEG, PNG or WebP picture, so it was not kept. Send a photo as the camera makes it."
BROKEN = "This picture is cut off or damaged, so it was not kept. Take it again, or send it once more."
HEIC_SAID = (
    "This is a HEIC photo, which not every screen can show. Set the camera to “most compatible” (JPEG) and "
    "take it again, or make a screenshot of it and send that."
)


class NoPicture(Exception):
    """What was sent is no photo that is kept; the sentence says why."""


@dataclass(frozen=True)
class Picture:
    """A photo made anew, and its small copy; both JPEG."""

    content: bytes
    small: bytes
    width: int
    height: int

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.content).hexdigest()

    @property
    def small_digest(self) -> str:
        return hashlib.sha256(self.small).hexdigest()


def picture(sent: bytes) -> Picture:
    """The photo in ``sent``; NoPicture with a sentence when it is empty, too large, or none."""
    _refuse_at_sight(sent)
    try:
        with Image.open(BytesIO(sent), formats=tuple(MOST_PIXELS)) as opened:
            _refuse_size(opened)
            opened.draft("RGB", (LONG_SIDE, LONG_SIDE))
            # Printing labels makes the library forgive what is cut off, for the whole process.
            ImageFile.LOAD_TRUNCATED_IMAGES = False
            opened.load()
            upright = _on_white(ImageOps.exif_transpose(opened))
    except NoPicture:
        raise
    except Image.UnidentifiedImageError as error:
        raise NoPicture(ONLY) from error
    except Image.DecompressionBombError as error:
        raise NoPicture(_too_wide(*MOST_PIXELS.values())) from error
    except Exception as error:  # a decoder that trips over a hostile file trips in many ways
        raise NoPicture(BROKEN) from error
    large = _fitted(upright, LONG_SIDE)
    return Picture(_jpeg(large), _jpeg(_fitted(upright, SMALL_SIDE)), *large.size)


def _refuse_at_sight(sent: bytes) -> None:
    if not sent:
        raise NoPicture("This file is empty. Take the photo again, or send it without one.")
    if len(sent) > MOST_BYTES:
        raise NoPicture(too_large(len(sent)))
    if sent[4:8] == b"ftyp" and sent[8:12] in HEIC:
        raise NoPicture(HEIC_SAID)


def too_large(size: int) -> str:
    """What is said of a file of ``size`` bytes."""
    return (
        f"A photo may have at most {MOST_BYTES // 1_000_000} MB; this one has "
        f"{size / 1_000_000:.1f} MB. Send a smaller one."
    )


def _refuse_size(opened: Image.Image) -> None:
    width, height = opened.size
    most = MOST_PIXELS[opened.format or ""]
    if width * height > most or max(width, height) > MOST_SIDE:
        raise NoPicture(_too_wide(most))


def _too_wide(*most: int) -> str:
    return (
        f"This picture has more than {min(most) // 1_000_000} million pixels, more than a camera makes. "
        "Send a smaller one."
    )


def _on_white(image: Image.Image) -> Image.Image:
    """The picture in plain colours; what lets light through stands on white."""
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        whole = image.convert("RGBA")
        ground = Image.new("RGBA", whole.size, "white")
        return Image.alpha_composite(ground, whole).convert("RGB")
    return image.convert("RGB")


def _fitted(image: Image.Image, side: int) -> Image.Image:
    fitted = image.copy()
    fitted.thumbnail((side, side))
    return fitted


def _jpeg(image: Image.Image) -> bytes:
    # Pixels alone go over: a copy would bring its comments and its profile along.
    bare = Image.new("RGB", image.size)
    bare.paste(image)
    out = BytesIO()
    bare.save(out, "JPEG", quality=85, optimize=True)
    return out.getvalue()


# --- kept by their hash


def path_of(digest: str) -> Path:
    """Where the file with this SHA-256 lies."""
    return Path(settings.MEDIA_ROOT) / FOLDER / f"{digest}.jpg"


def keep(pictures: Iterable[Picture]) -> None:
    """Write these files as soon as the running transaction is certain; none when it is taken back."""
    kept = list(pictures)
    transaction.on_commit(lambda: write_all(kept))


def write_all(pictures: Iterable[Picture]) -> None:
    """Write these files now; what is there already is left as it is."""
    for one in pictures:
        write_whole(path_of(one.digest), one.content)
        write_whole(path_of(one.small_digest), one.small)
