"""How the engine's values are made: nobody changes one, and a great many are made for each answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

__all__ = ["record"]

Class = TypeVar("Class", bound=type)

if TYPE_CHECKING:
    from dataclasses import dataclass as record
else:

    def record(*, frozen: bool, slots: bool) -> Callable[[Class], Class]:
        """A dataclass that is frozen where types are checked, and plain at run time.

        To set a field of one that is frozen at run time too takes five times as long.
        """

        def made(of: Class) -> Class:
            return dataclass(slots=slots, unsafe_hash=frozen and "__hash__" not in vars(of))(of)

        return made
