"""What is wrong with a pattern, naming the point and what to do."""

from app.errors import BadInput


class PatternError(BadInput, ValueError):
    """A pattern that cannot be compared: `place` names the point, `remedy` what to do next."""

    kind = "bad_pattern"
