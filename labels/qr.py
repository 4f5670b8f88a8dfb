"""QR symbols by ISO/IEC 18004: always version 2, level H, the mask chosen by the standard's own penalty rules.

Ten characters would fit version 1; version 2 on the same paper stands more dirt, because the same few
characters are spread over more codewords.
"""

from labels.errors import SizeError
from labels.payload import checked

VERSION = 2
MODULES = 25
QUIET = 4
"""Blank modules on each side, the least the standard allows."""
SIDE = MODULES + 2 * QUIET
LEAST_MODULE = 0.75
"""Smallest module drawn, mm."""


def matrix(payload: str) -> list[list[bool]]:
    """25 rows of 25 modules, True for black, without the quiet zone. PayloadError for what a tag cannot be."""
    import qrcode
    from qrcode.util import MODE_ALPHA_NUM, MODE_NUMBER, QRData

    mode = MODE_NUMBER if checked(payload).isdigit() else MODE_ALPHA_NUM
    code = qrcode.QRCode(version=VERSION, error_correction=qrcode.ERROR_CORRECT_H, border=0)
    code.add_data(QRData(payload, mode=mode), optimize=0)
    code.make(fit=False)
    return [[bool(module) for module in row] for row in code.get_matrix()]


def module_dots(room: int, dpi: int) -> int:
    """Dots a module when a symbol with its quiet zone fills a square of `room` dots; SizeError under 0.75 mm."""
    dots = room // SIDE
    if dots * 25.4 / dpi < LEAST_MODULE:
        raise SizeError("There is no room for a QR of readable size", "Use a larger label")
    return dots
