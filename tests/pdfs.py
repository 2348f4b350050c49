"""A small PDF of one page, made by hand."""

import io
import zlib


def pdf(lines: list[tuple[int, str]], *, packed: bytes | None = None) -> bytes:
    """A one-page PDF with each text at a place across the page, or with a packed stream of one's own."""
    drawn = (
        "BT /F1 10 Tf\n"
        + "".join(
            f"1 0 0 1 {x} {760 - 14 * number} Tm ({text}) Tj\n"
            for number, line in enumerate(lines)
            for x, text in [line]
        )
        + "ET"
    )
    stream = packed if packed is not None else zlib.compress(drawn.encode("latin-1"))
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R "
        b"/Resources << /Font << /F1 5 0 R >> >> >>",
        b"<< /Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream" % (len(stream), stream),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
    ]
    out, places = io.BytesIO(), []
    out.write(b"%PDF-1.4\n")
    for number, body in enumerate(objects, start=1):
        places.append(out.tell())
        out.write(b"%d 0 obj\n%s\nendobj\n" % (number, body))
    start = out.tell()
    out.write(b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1))
    out.write(b"".join(b"%010d 00000 n \n" % place for place in places))
    out.write(b"trailer << /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, start))
    return out.getvalue()
