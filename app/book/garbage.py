"""When Python looks for garbage: not among what stays, and not while millions of small objects are made."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def none_collected() -> Iterator[None]:
    """Keep the collector of cycles out: it would walk all that is made again and again, and that holds none."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def keep_for_hours() -> None:
    """What is large and stays is not looked through any more, and what is made and dropped between more seldom."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
