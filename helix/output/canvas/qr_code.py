"""A QR code as dots, for whatever draws them."""

from __future__ import annotations

_MOST_BYTES = 2_331  # of the largest code at level M [ISO/IEC 18004]


def code_rows(text: str) -> list[list[bool]]:
    """The dots of a QR code that holds a text, row by row, True where dark; a quiet edge of four dots is to be left free.

    Up to 15 % of it may be unreadable (level M). Raises ValueError where no code holds the text.
    """
    from reportlab.graphics.barcode import qrencoder

    if len(text.encode()) > _MOST_BYTES:
        raise ValueError(f"a code holds {_MOST_BYTES} bytes; got {len(text.encode())}")
    code = qrencoder.QRCode(None, qrencoder.QRErrorCorrectLevel.M)
    code.addData(text)
    code.make()
    return [[bool(dark) for dark in row] for row in code.modules]
