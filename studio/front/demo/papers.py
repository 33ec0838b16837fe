"""Sheets of the invented suppliers as small PDFs: plain text on A4, written by hand, the same each time."""

import textwrap
from collections.abc import Iterable

WIDE, LONG = 96, 60  # letters on a line, lines on a page
TOP, LEFT, LEADING = 792, 56, 12  # points


def pdf(title: str, paragraphs: Iterable[str]) -> bytes:
    """A PDF with a title and paragraphs; letters beyond Latin-1 become question marks."""
    lines = [line for text in paragraphs for line in (*textwrap.wrap(text, WIDE), "")]
    pages = [lines[n : n + LONG] for n in range(0, len(lines), LONG)] or [[]]
    kids = " ".join(f"{4 + 2 * n} 0 R" for n in range(len(pages)))
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>".encode(),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
    ]
    for n, page in enumerate(pages):
        drawn = _drawn(title if n == 0 else f"{title}, page {n + 1}", page)
        objects.append(
            b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] "
            b"/Resources << /Font << /F1 3 0 R >> >> " + f"/Contents {5 + 2 * n} 0 R >>".encode()
        )
        objects.append(f"<< /Length {len(drawn)} >>\nstream\n".encode() + drawn + b"\nendstream")
    return _file(objects)


def _drawn(title: str, lines: Iterable[str]) -> bytes:
    shown = [f"BT /F1 14 Tf {LEFT} {TOP} Td ({_text(title)}) Tj", f"/F1 9 Tf {LEADING} TL 0 -24 Td"]
    shown += [f"({_text(line)}) Tj T*" for line in lines]
    return "\n".join((*shown, "ET")).encode("latin-1")


def _text(line: str) -> str:
    plain = line.encode("latin-1", "replace").decode("latin-1")
    return plain.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")


def _file(objects: list[bytes]) -> bytes:
    out, places = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += f"{number} 0 obj\n".encode() + body + b"\nendobj\n"
    table = b"".join(f"{place:010d} 00000 n \n".encode() for place in places)
    head = f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n".encode()
    tail = f"trailer\n<< /Size {len(objects) + 1} /Root 1 0 R >>\nstartxref\n{len(out)}\n%%EOF\n"
    return out + head + table + tail.encode()
