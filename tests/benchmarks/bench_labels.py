"""How fast labels are drawn, and how many still read after a hard life. Run on demand, not with the tests.

    python tests/benchmarks/bench_labels.py            both parts
    python tests/benchmarks/bench_labels.py --labels 1000 --rounds 200 --seed 7

The damage campaign spoils the whole 4 by 2 inch label, not only its codes, the same way for three ways of
saying the tag: ours (two QR squares and a Code 128 strip), one QR as large as the paper takes, and one QR of
the size ours has. Anything read that is another valid tag is counted: that number must be 0.
"""

import argparse
import math
import random
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw, ImageFilter

import labels
from app.book.tags import ALPHABET, is_house_tag
from labels.geometry import QR_BOX, STANDARD, Box
from labels.items import Item, Square
from labels.render import render

DPI = 203
FORMATS = zxingcpp.barcode_formats_from_str("QRCode,Code128")
WHITE = 255

Damage = Callable[[Image.Image, random.Random], Image.Image]
Validator = Callable[[str], bool]


def some_tag(rng: random.Random, valid: Validator) -> str:
    """A random valid part tag, found by trying the check characters."""
    body = "P" + "".join(rng.choices(ALPHABET, k=5))
    return next(body + check for check in ALPHABET if valid(body + check))


def part_label(tag: str) -> labels.PartLabel:
    """A usual part label."""
    return labels.PartLabel(
        tag,
        "lower control arm",
        "RH",
        "Dunmarsh Longwagon 2007–2013 light",
        "B usable",
        "4 Mar 2026",
        ("spring under load",),
        "D13",
    )


def big_square(tag: str) -> Image.Image:
    """A label with one QR as large as the paper takes."""
    return _squares([Square(Box(25.6, 0.2, 50.4, 50.4), tag)])


def one_square(tag: str) -> Image.Image:
    """A label with one QR of the size the standard label has."""
    return _squares([Square(Box(1.0, 1.0, QR_BOX, QR_BOX), tag)])


def _squares(items: list[Item]) -> Image.Image:
    return render(STANDARD, items, DPI)


WAYS: dict[str, Callable[[str], Image.Image]] = {
    "two QR and strip": lambda tag: labels.draw(part_label(tag), size="standard", dpi=DPI),
    "one big QR": big_square,
    "one QR": one_square,
}


def grease(share: float) -> Damage:
    """Opaque black blobs until `share` of the paper is covered."""

    def spoil(image: Image.Image, rng: random.Random) -> Image.Image:
        cover = Image.new("L", image.size, 0)
        draw = ImageDraw.Draw(cover)
        while _share_of(cover) < share:
            x, y = rng.randrange(image.width), rng.randrange(image.height)
            across, down = rng.uniform(12, 48), rng.uniform(12, 48)
            draw.ellipse((x - across, y - down, x + across, y + down), fill=255)
        return Image.composite(Image.new("L", image.size, rng.randrange(50)), image, cover)

    return spoil


def _share_of(cover: Image.Image) -> float:
    return cover.histogram()[255] / (cover.width * cover.height)


def smears(image: Image.Image, rng: random.Random) -> Image.Image:
    """Three to six half-clear dark strokes of a thumb."""
    veil = Image.new("L", image.size, WHITE)
    draw = ImageDraw.Draw(veil)
    for _ in range(rng.randint(3, 6)):
        x, y = rng.randrange(image.width), rng.randrange(image.height)
        angle, length = rng.uniform(0, math.pi), rng.uniform(150, 500)
        end = (x + length * math.cos(angle), y + length * math.sin(angle))
        draw.line((x, y, *end), fill=rng.randint(60, 160), width=rng.randint(30, 90))
    return ImageChops.multiply(image, veil.filter(ImageFilter.GaussianBlur(8)))


def scratches(image: Image.Image, rng: random.Random) -> Image.Image:
    """Twelve to thirty white lines down to the face of the label."""
    scratched = image.copy()
    draw = ImageDraw.Draw(scratched)
    for _ in range(rng.randint(12, 30)):
        ends = [(rng.randrange(image.width), rng.randrange(image.height)) for _ in range(2)]
        draw.line(ends, fill=WHITE, width=rng.randint(2, 7))
    return scratched


def blur(image: Image.Image, rng: random.Random) -> Image.Image:
    """Out of focus by 0.2 to 0.6 mm."""
    return image.filter(ImageFilter.GaussianBlur(rng.uniform(0.2, 0.6) * DPI / 25.4))


def fade(image: Image.Image, rng: random.Random) -> Image.Image:
    """Two winters: little contrast left, uneven light, grain."""
    noise = np.random.default_rng(rng.randrange(2**32))
    black, white = rng.uniform(130, 185), rng.uniform(200, 235)
    values: NDArray[np.float64] = np.asarray(image, dtype=np.float64) / 255 * (white - black) + black
    values += np.linspace(0, rng.uniform(-50, 20), image.width)[None, :]
    values += noise.normal(0, 6, values.shape)
    return Image.fromarray(values.clip(0, 255).astype(np.uint8))


def turn(image: Image.Image, rng: random.Random) -> Image.Image:
    """Held at any angle and at any distance."""
    scale = rng.uniform(0.6, 1.2)
    sized = image.resize((int(image.width * scale), int(image.height * scale)), Image.Resampling.BICUBIC)
    return sized.rotate(rng.uniform(0, 360), Image.Resampling.BICUBIC, expand=True, fillcolor=200)


def in_turn(*damages: Damage) -> Damage:
    """One damage after the other."""

    def spoil(image: Image.Image, rng: random.Random) -> Image.Image:
        for damage in damages:
            image = damage(image, rng)
        return image

    return spoil


DAMAGES: dict[str, Damage] = {
    "grease 2 %": grease(0.02),
    "grease 5 %": grease(0.05),
    "grease 10 %": grease(0.10),
    "smears": smears,
    "scratches": scratches,
    "blur": blur,
    "fade": fade,
    "turned": turn,
    "all of it": in_turn(grease(0.02), smears, scratches, fade, blur, turn),
}


@dataclass
class Tally:
    """What the decoder made of the spoiled labels of one way and one damage."""

    drawn: int = 0
    read: int = 0
    refused: list[str] = field(default_factory=list)
    """Texts that are no valid tag: the check character catches them."""
    another: list[str] = field(default_factory=list)
    """Texts that are another valid tag."""


def count(tally: Tally, image: Image.Image, tag: str, valid: Validator) -> None:
    """Decode one spoiled label and add it up."""
    texts = {found.text for found in zxingcpp.read_barcodes(image, formats=FORMATS)}
    tally.drawn += 1
    tally.read += tag in texts
    for text in texts - {tag}:
        (tally.another if valid(text) else tally.refused).append(text)


def campaign(rounds: int, seed: int, valid: Validator) -> dict[str, dict[str, Tally]]:
    """Tallies by damage and way; in one round all ways get the same damage and the same tag."""
    tallies = {damage: {way: Tally() for way in WAYS} for damage in DAMAGES}
    for number in range(rounds):
        tag = some_tag(random.Random(f"{seed}/{number}"), valid)
        clean = {way: draw(tag).convert("L") for way, draw in WAYS.items()}
        for damage, spoil in DAMAGES.items():
            for way, image in clean.items():
                rng = random.Random(f"{seed}/{number}/{damage}")
                count(tallies[damage][way], spoil(image, rng), tag, valid)
    return tallies


def report(tallies: dict[str, dict[str, Tally]]) -> bool:
    """Print the shares read; True when nothing was read as another valid tag."""
    print(f"{'share read, 4 x 2 in at 203 dpi':34}" + "".join(f"{way:>18}" for way in WAYS))
    for damage, by_way in tallies.items():
        print(f"{damage:34}" + "".join(f"{by_way[way].read / by_way[way].drawn:18.1%}" for way in WAYS))
    every = [tally for by_way in tallies.values() for tally in by_way.values()]
    refused = sorted(text for tally in every for text in tally.refused)
    another = sorted(text for tally in every for text in tally.another)
    print(f"labels decoded {sum(tally.drawn for tally in every):,}")
    print(f"misread and refused by the check character: {len(refused)} {refused[:5]}")
    print(f"read as another valid tag: {len(another)} {another[:5]}")
    return not another


def speed(number: int) -> None:
    """Print labels a second, each with its own tag."""
    for size in labels.sizes(labels.PartLabel):
        for dpi in (203, 300):
            labels.draw(part_label("P222222"), size=size, dpi=dpi)
            start = time.perf_counter()
            for serial in range(number):
                labels.draw(part_label(f"P{serial:06}"), size=size, dpi=dpi)
            rate = number / (time.perf_counter() - start)
            print(f"{size:10}{dpi:5} dpi {rate:8.0f} labels a second")


def main() -> int:
    """Both parts; status 1 when a label was read as another valid tag."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--labels", type=int, default=300, help="labels to draw in each size (300)")
    parser.add_argument("--rounds", type=int, default=200, help="tags through each damage (200)")
    parser.add_argument("--seed", type=int, default=1, help="seed of the damage (1)")
    asked = parser.parse_args()
    speed(asked.labels)
    return 0 if report(campaign(asked.rounds, asked.seed, is_house_tag)) else 1


if __name__ == "__main__":
    raise SystemExit(main())
