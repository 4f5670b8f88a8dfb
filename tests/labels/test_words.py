"""What is written on a label and how long words are made to fit."""

import dataclasses
import subprocess
import sys

from hypothesis import given, settings
from hypothesis import strategies as st

import labels
from labels import PartLabel, Receipt, ReceiptLine, Record, WeightTicket, drawing, text
from labels.items import Item, Sign, Words
from tests.labels.samples import HAZARDS, MAKERS, TAG, decoded, part, receipt, ticket

ANY_TEXT = st.text(max_size=200)
LONG = "left front lower control arm with bushings and ball joint " * 4


def said(record: Record, size: str | None = None) -> str:
    """Everything written on a label, as it was meant."""
    _, items = drawing.lay_out(record, size)
    return "\n".join(item.text for item in items if isinstance(item, Words | Sign))


def words_of(items: list[Item]) -> list[str]:
    return [item.text for item in items if isinstance(item, Words | Sign)]


def test_a_part_label_has_no_room_for_price_seller_or_vin() -> None:
    fields = {field.name for field in dataclasses.fields(PartLabel)}
    assert not {name for name in fields if any(word in name for word in ("price", "seller", "vin", "amount"))}


def test_a_reprint_says_which_copy_it_is_and_the_first_does_not() -> None:
    for make in MAKERS:
        for size in labels.sizes(type(make())):
            assert "copy" not in said(make(copy=1), size)
            assert "copy 2" in said(make(copy=2), size)


def test_a_voided_ticket_says_void_and_why() -> None:
    assert "VOID" not in said(ticket())
    voided = said(ticket(void_reason="tare taken with the driver off"))
    assert "VOID" in voided
    assert "tare taken with the driver off" in voided
    assert "no reason given" in said(ticket(void_reason=""))


def test_a_ticket_says_when_its_weights_were_typed_by_hand() -> None:
    assert "typed by hand" not in said(ticket())
    assert "weights typed by hand" in said(ticket(manual_entry=True))


def test_a_ticket_shows_every_figure_with_its_unit_and_the_steps_of_the_scale() -> None:
    written = said(ticket())
    for figure in ("21,980 lb", "17,460 lb", "90 lb", "50 lb", "4,380 lb", "steps of 20 lb", "414.54"):
        assert figure in written


def test_a_ticket_with_many_deductions_grows_longer_and_drops_none() -> None:
    many = tuple((f"item {n}", f"{n}0") for n in range(40))
    short, _ = drawing.lay_out(ticket())
    long, items = drawing.lay_out(ticket(deductions=many))
    assert short.height == 6 * 25.4
    assert long.height > short.height
    assert {f"less item {n}" for n in range(40)} <= set(words_of(items))


def test_hazards_come_with_the_caution_on_every_size() -> None:
    for size in labels.sizes(PartLabel):
        written = said(part(hazards=HAZARDS), size)
        assert "airbag, live: keep away from heat and sparks; spring under load" in written
        assert "Follow local rules and the maker's instructions." in written


def test_a_receipt_is_as_long_as_what_was_said_and_shortens_nothing() -> None:
    line = ReceiptLine(TAG, LONG, LONG, "75.00")
    long = receipt(lines=(line,) * 3, footer=(LONG, LONG))
    image, short = labels.draw(long), labels.draw(receipt())
    assert image.height > short.height
    paper, items = drawing.lay_out(long)
    assert paper.width == 80.0
    for dpi in (203, 300):
        for item in items:
            if isinstance(item, Words) and item.text == LONG:
                assert "…" not in "".join(_set(item, dpi).rows)


def _set(item: Words, dpi: int) -> text.Setting:
    from labels.geometry import Grid

    grid = Grid(dpi)
    left, top, right, bottom = grid.edges(item.box)
    sizes = (text.em(grid.dots(item.cap)), text.em(grid.dots(item.least)))
    return text.fit(item.text, right - left, bottom - top, sizes, item.lines)


@settings(max_examples=300, deadline=None)
@given(ANY_TEXT, st.integers(20, 900), st.integers(12, 200), st.integers(1, 5))
def test_words_fit_their_box_whole_or_end_in_an_ellipsis(words: str, width: int, height: int, lines: int) -> None:
    setting = text.fit(words, width, height, (40, 10), lines)
    whole = text.plain(words)
    assert len(setting.rows) <= lines
    assert all(len(row) * text.advance(setting.size) <= width for row in setting.rows)
    assert len(setting.rows) * setting.size * text.PITCH <= height
    shown = "".join(setting.rows).replace(" ", "")
    if shown != whole.replace(" ", ""):
        assert shown.endswith("…")
        assert whole.replace(" ", "").startswith(shown[:-1])
        assert setting.size == 10


def test_long_words_shrink_before_they_are_shortened() -> None:
    roomy = text.fit("hub", 400, 40, (30, 12), 1)
    tight = text.fit("wheel hub, rear, with ring teeth", 400, 40, (30, 12), 1)
    cut = text.fit(LONG, 400, 40, (30, 12), 1)
    assert roomy.size == 30
    assert 12 < tight.size < 30
    assert tight.rows == ("wheel hub, rear, with ring teeth",)
    assert cut.size == 12
    assert cut.rows[0].endswith("…")


@settings(max_examples=60, deadline=None)
@given(st.lists(ANY_TEXT, min_size=8, max_size=8), st.sampled_from([203, 300]))
def test_whatever_is_typed_the_label_is_drawn_and_its_codes_read(words: list[str], dpi: int) -> None:
    name, side, family, condition, date, hazard, donor, note = words
    record = PartLabel(TAG, name, side, family, condition, date, (hazard,), donor, 2, note)
    assert decoded(labels.draw(record, size="small", dpi=dpi)) == [("QR", TAG)]
    both = [("QR", TAG), ("QR", TAG), ("strip", TAG)]
    assert decoded(labels.draw(record, size="standard", dpi=dpi)) == both


@settings(max_examples=30, deadline=None)
@given(ANY_TEXT, ANY_TEXT)
def test_whatever_is_typed_tickets_and_receipts_are_drawn_and_read(one: str, other: str) -> None:
    weighed: WeightTicket = ticket(
        number=one, party=other, net=one, deductions=((other, one),), void_reason=other, price=one
    )
    sold: Receipt = receipt(
        number=one, lines=(ReceiptLine(one, other, one, other),), totals=((one, other),), footer=(one,)
    )
    both = [("QR", TAG), ("QR", TAG), ("strip", TAG)]
    assert decoded(labels.draw(weighed)) == both
    assert decoded(labels.draw(sold)) == both


def test_no_letter_is_wider_than_its_place() -> None:
    # The layout counts characters; that holds only while no glyph of the font is set wider than another.
    face = text.font(40)
    wide = [chr(n) for n in range(0x20, 0x3000) if chr(n).isprintable() and face.getlength(chr(n)) > 24]
    assert text.advance(40) == 24
    assert wide == []


def test_the_font_is_the_one_in_the_package() -> None:
    face = text.font(20)
    assert face.path == str(text.FONT_FILE)
    assert face.getname() == ("DejaVu Sans Mono", "Bold")
    assert text.FONT_FILE.parent.parent.name == "labels"
    assert "Bitstream" in (text.FONT_FILE.parent / "LICENSE-DejaVu.txt").read_text()


def test_importing_labels_loads_nothing_that_draws() -> None:
    code = "import sys, labels; print(sorted({'PIL', 'qrcode', 'barcode', 'app'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
