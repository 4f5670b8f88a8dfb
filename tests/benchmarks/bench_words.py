"""How long it takes to understand a line: a vocabulary of 3,000 words and 60,000 models, as a great yard has.

    .venv/bin/python tests/benchmarks/bench_words.py
    .venv/bin/python tests/benchmarks/bench_words.py --hostile 100000

Lines are of 3 to 14 words in any order, one in three with a word a letter off. The hostile ones are random and
malicious; the longest of them is reported, and each must stay under 50 ms.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import insert

sys.path.insert(0, str(Path(__file__).parents[2]))

from app.book.schema import Alias, AliasKind, Model
from app.book.sheets import load_folder
from app.book.words.understanding import understand
from app.book.words.vocabulary import Vocabulary
from app.book.words.wordlist import load_vocabulary
from app.book.work import Book, Who, open_book
from tests.book.test_ask_meanings import hostile_lines

YARD = Path(__file__).parents[1] / "casebook"
ME = Who("OW", seat="counter")
SYLLABLES = "bar dol fen gru hal jor kel lom mir nor pol quin ras sul tor ulm ver wix yar zan".split()
MODELS, NAMES, WORDS = 60_000, 1_500, 3_000
MOST_MS = 50


def invented(chosen: random.Random, count: int) -> list[str]:
    """So many different invented words."""
    found: set[str] = set()
    while len(found) < count:
        found.add("".join(chosen.choices(SYLLABLES, k=chosen.randrange(2, 4))))
    return sorted(found)


def grow(book: Book, chosen: random.Random) -> tuple[list[str], list[str]]:
    """Add invented models and aliases; gives the names and the new spoken words."""
    words = invented(chosen, NAMES + WORDS)
    chosen.shuffle(words)
    names, said = words[:NAMES], words[NAMES:]
    makes = [name.title() for name in names[:30]]
    with book.engine.begin() as connection:
        rows = [_model(number, names, makes, chosen) for number in range(MODELS)]
        connection.execute(insert(Model.__table__), rows)  # type: ignore[arg-type]
        parts = ("lca", "steering gear", "radiator", "tailgate")
        aliases = [{"said": word, "kind": AliasKind.PART, "means": chosen.choice(parts)} for word in said]
        connection.execute(insert(Alias.__table__), aliases)  # type: ignore[arg-type]
    return names, said


def _model(number: int, names: list[str], makes: list[str], chosen: random.Random) -> dict[str, object]:
    first = chosen.randrange(1990, 2020)
    return {
        "key": f"M{number}",
        "make": chosen.choice(makes),
        "name": names[number % NAMES].title(),
        "variant": chosen.choice(["", "first body", "second body"]),
        "weight_class": chosen.choice(["light", "heavy", ""]),
        "family": names[number % NAMES],
        "body_style": chosen.choice(["pickup", "wagon"]),
        "year_from": first,
        "year_to": first + chosen.randrange(1, 8),
        "note": "",
    }


def lines(names: list[str], said: list[str], chosen: random.Random, count: int) -> list[str]:
    """Asks as they are said at a counter."""
    found = []
    for _ in range(count):
        name = chosen.choice(names)
        if chosen.random() < 0.33:
            at = chosen.randrange(1, len(name))
            name = name[:at] + chosen.choice("aeioqz") + name[at:]
        words = [name, chosen.choice(said), f"{chosen.randrange(0, 20):02d}", chosen.choice(["light", "heavy", "4x4"])]
        words += chosen.sample(
            ["rh", "today", "under", "200", "for", "my", "the", "26", "gal", "mine", "is", "broken"], 5
        )
        chosen.shuffle(words)
        found.append(" ".join(words[: chosen.randrange(3, len(words) + 1)]))
    return found


def timed(asked: Sequence[str], vocabulary: Vocabulary) -> tuple[list[float], list[float]]:
    """Milliseconds for each line by the clock, and of the processor alone, which a busy machine does not lengthen."""
    taken, own = [], []
    for line in asked:
        started, started_own = time.perf_counter(), time.thread_time()
        understand(line, vocabulary)
        own.append((time.thread_time() - started_own) * 1000)
        taken.append((time.perf_counter() - started) * 1000)
    return sorted(taken), sorted(own)


def main() -> None:
    """Build the vocabulary and report."""
    parser = argparse.ArgumentParser(description="Time the understanding of asks.")
    parser.add_argument("--lines", type=int, default=5_000)
    parser.add_argument("--hostile", type=int, default=5_000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    chosen = random.Random(given.seed)
    with tempfile.TemporaryDirectory() as folder:
        book = open_book(str(Path(folder) / "yard.book"))
        load_folder(book, ME, YARD)
        names, said = grow(book, chosen)
        started = time.perf_counter()
        with book.read() as session:
            vocabulary = load_vocabulary(session)
        print(f"vocabulary of {len(vocabulary.phrases):,} phrases read in {time.perf_counter() - started:.2f} s")
        _report("asks", timed(lines(names, said, chosen, given.lines), vocabulary))
        phrases = sorted(vocabulary.phrases)
        slowest = _report("hostile lines", timed(list(hostile_lines(phrases, given.hostile, given.seed)), vocabulary))
        book.close()
    sys.exit(slowest > MOST_MS)


def _report(what: str, measured: tuple[list[float], list[float]]) -> float:
    """Print the shares; gives the longest line by the processor's time."""
    for name, taken in zip(("by the clock", "of the processor"), measured, strict=True):
        at = {share: taken[min(len(taken) - 1, int(len(taken) * share))] for share in (0.5, 0.95, 0.99)}
        shares = ", ".join(f"p{int(share * 100)} {value:.3f} ms" for share, value in at.items())
        print(f"{len(taken):,} {what} {name}: {shares}, longest {taken[-1]:.1f} ms")
    return measured[1][-1]


if __name__ == "__main__":
    main()
