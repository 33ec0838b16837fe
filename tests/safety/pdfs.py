"""PDFs for tests: one that is whole, and ways to spoil it."""

from safety.documents import Document, document, write


def pdf(text: str = "Safety data sheet", *, extra: bytes = b"") -> bytes:
    """A whole PDF of one page with this text (ISO 32000-1, from memory); ``extra``: in its catalogue."""
    stream = f"BT /F1 12 Tf 40 800 Td ({text}) Tj ET".encode("latin-1")
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R " + extra + b" >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R "
        b"/Resources << /Font << /F1 5 0 R >> >> >>",
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(stream), stream),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]
    out, places = b"%PDF-1.4\n", []
    for number, content in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, content)
    table = b"xref\n0 6\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % place for place in places)
    end = b"trailer\n<< /Size 6 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % len(out)
    return out + table + end


def on_disk(text: str = "Safety data sheet") -> Document:
    """A document that was judged and lies where it is handed out from."""
    found = document(pdf(text))
    write(found)
    return found
