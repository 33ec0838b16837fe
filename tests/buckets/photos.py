"""Photos as phones send them, and files that only look like photos."""

import io
import struct
import zipfile
import zlib

from PIL import Image


def image(kind: str = "JPEG", size: tuple[int, int] = (64, 48), colour: str = "#6f9aa0", **more) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, kind, **more)
    return out.getvalue()


def of_a_phone() -> bytes:
    """A JPEG lying on its side, with the place it was taken and the maker's name in it."""
    picture = Image.new("RGB", (80, 40), "white")
    picture.paste("#203040", (0, 0, 40, 40))
    exif = Image.Exif()
    exif[0x0112] = 6  # turn a quarter to the right
    exif[0x010F] = "Secret Maker"
    exif[0x8825] = {1: "N", 2: (47.0, 22.0, 11.0), 3: "E", 4: (8.0, 33.0, 0.0)}
    out = io.BytesIO()
    picture.save(out, "JPEG", exif=exif, comment=b"taken in the garden")
    return out.getvalue()


def zipped() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as target:
        target.writestr("run.html", "<script>alert(1)</script>")
    return out.getvalue()


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def huge_png(width: int = 50_000, height: int = 50_000) -> bytes:
    """A PNG of a few hundred bytes that says it has 2500 million pixels."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = _chunk(b"IHDR", head) + _chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + _chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def many_frames() -> bytes:
    """A GIF of 200 frames."""
    frames = [Image.new("P", (300, 300), n) for n in range(200)]
    out = io.BytesIO()
    frames[0].save(out, "GIF", save_all=True, append_images=frames[1:])
    return out.getvalue()


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\0" * 200

# what is sent, under which name, and part of the sentence that refuses it
HOSTILE = {
    "nothing at all": (b"", "empty.jpg", "is empty"),
    "an SVG with a script": (SVG, "drawing.svg", "no JPEG, PNG or WebP"),
    "an SVG that calls itself a JPEG": (SVG, "drawing.jpg", "no JPEG, PNG or WebP"),
    "a page that calls itself a PNG": (b"<!doctype html><script>1</script>", "page.png", "no JPEG, PNG"),
    "a program that calls itself a JPEG": (b"MZ" + b"\x90" * 500, "photo.jpg", "no JPEG, PNG or WebP"),
    "a GIF of 200 frames": (many_frames(), "bomb.gif", "no JPEG, PNG or WebP"),
    "a GIF that calls itself a WebP": (many_frames(), "bomb.webp", "no JPEG, PNG or WebP"),
    "a page that begins like a GIF": (b"GIF89a/*<script>*/=1;", "x.jpg", "no JPEG, PNG or WebP"),
    "a BMP": (image("BMP"), "photo.bmp", "no JPEG, PNG or WebP"),
    "a TIFF": (image("TIFF"), "photo.tif", "no JPEG, PNG or WebP"),
    "a zip": (zipped(), "photo.zip", "no JPEG, PNG or WebP"),
    "a zip before a JPEG": (zipped() + image(), "photo.jpg", "no JPEG, PNG or WebP"),
    "a HEIC photo": (HEIC, "IMG_1.HEIC", "“most compatible”"),
    "a JPEG cut off": (image(size=(400, 400))[:900], "cut.jpg", "cut off or damaged"),
    "a JPEG of ten bytes": (image()[:10], "cut.jpg", "kept"),
    "a PNG cut off": (image("PNG", (400, 400))[:60], "cut.png", "cut off or damaged"),
    "a WebP cut off": (image("WEBP", (400, 400))[:60], "cut.webp", "kept"),
    "a PNG of 2500 million pixels": (huge_png(), "huge.png", "million pixels"),
    "a PNG of 30 million pixels": (huge_png(6000, 5000), "large.png", "million pixels"),
    "a PNG longer than a street": (huge_png(30_000, 10), "long.png", "million pixels"),
    "more than 10 MB": (image() + b"\0" * 10_000_000, "large.jpg", "at most 10 MB"),
    "nought bytes": (b"\0" * 4000, "noughts.jpg", "no JPEG, PNG or WebP"),
    "a JPEG's beginning and noise": (b"\xff\xd8\xff\xe0" + bytes(range(256)) * 8, "noise.jpg", "kept"),
}
