"""What the codes on a label may carry."""

import re

from labels.errors import PayloadError

_PAYLOAD = re.compile(r"[0-9A-Z]{1,10}")


def checked(payload: str) -> str:
    """The payload itself, or PayloadError unless it is 1 to 10 capitals A-Z and digits."""
    if not _PAYLOAD.fullmatch(payload):
        raise PayloadError(f"A label cannot carry {payload!r}", "A tag is 1 to 10 capitals and digits, nothing else")
    return payload
