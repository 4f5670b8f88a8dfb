"""Files at true size, and the hand-over to the printer queue."""

import re
import stat
from pathlib import Path

import pytest
from PIL import Image

import labels
from labels import LabelError, PrinterError, Sent, SizeError, printer
from tests.labels.samples import TAG, decoded, part, place, receipt, ticket


@pytest.mark.parametrize("dpi", [203, 300])
def test_a_png_knows_its_resolution_and_reads_back_dot_for_dot(tmp_path: Path, dpi: int) -> None:
    image = labels.draw(part(), dpi=dpi)
    saved = labels.save(image, tmp_path / "label.png", dpi)
    with Image.open(saved) as read:
        assert read.info["dpi"] == pytest.approx((dpi, dpi), abs=0.05)
        assert read.tobytes() == image.tobytes()
        assert decoded(read) == [("QR", TAG), ("QR", TAG), ("strip", TAG)]


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize(
    ("record", "size", "inches"),
    [
        (part(), "small", (2.25, 1.25)),
        (part(), "standard", (4, 2)),
        (part(), "large", (4, 6)),
        (place(), "sign", (11, 8.5)),
        (ticket(), "ticket", (4, 6)),
    ],
)
def test_a_pdf_page_has_the_size_of_the_paper(
    tmp_path: Path, record: labels.Record, size: str, inches: tuple[float, float], dpi: int
) -> None:
    # PDF, ISO 32000: the MediaBox counts points of 1/72 inch. Half a dot is what rounding to dots may cost.
    saved = labels.save(labels.draw(record, size=size, dpi=dpi), tmp_path / "label.pdf", dpi)
    box = re.search(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", saved.read_bytes())
    assert box is not None
    page = [float(side) / 72 for side in box.groups()]
    assert page == pytest.approx(inches, abs=0.51 / dpi)


def test_a_receipt_page_is_80_mm_wide(tmp_path: Path) -> None:
    saved = labels.save(labels.draw(receipt()), tmp_path / "receipt.pdf", 203)
    box = re.search(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)", saved.read_bytes())
    assert box is not None
    assert float(box[1]) / 72 * 25.4 == pytest.approx(80.0, abs=0.07)


def test_a_pdf_keeps_every_dot(tmp_path: Path) -> None:
    # Group 4 fax coding (ITU-T T.6) loses nothing; a photograph's coding would smear the edges of the bars.
    saved = labels.save(labels.draw(part()), tmp_path / "label.pdf", 203)
    assert b"CCITTFaxDecode" in saved.read_bytes()
    assert b"DCTDecode" not in saved.read_bytes()


def test_another_kind_of_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SizeError, match=r"\.png or \.pdf"):
        labels.save(labels.draw(part()), tmp_path / "label.jpeg", 203)


def fake_lp(folder: Path, script: str) -> None:
    program = folder / "lp"
    program.write_text(f"#!/bin/sh\n{script}\n")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)


@pytest.fixture
def queue(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder in front of the program path, and a label in it."""
    folder = tmp_path / "bin"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))
    (folder / "label.pdf").write_bytes(b"%PDF")
    return folder


def test_a_label_goes_to_the_named_printer_as_often_as_asked(queue: Path) -> None:
    fake_lp(queue, f'printf "%s\\n" "$@" > {queue}/said; echo "request id is bench-7 (1 file(s))"')
    path = queue / "label.pdf"
    sent = labels.send(path, "bench", 3)
    assert sent == Sent(path, "bench", 3, "request id is bench-7 (1 file(s))")
    asked = (queue / "said").read_text().splitlines()
    assert asked == ["-d", "bench", "-n", "3", "-o", "print-scaling=none", "--", str(path)]


def test_without_a_name_it_goes_to_the_default_printer(queue: Path) -> None:
    fake_lp(queue, f'printf "%s\\n" "$@" > {queue}/said')
    assert labels.send(queue / "label.pdf").printer is None
    assert "-d" not in (queue / "said").read_text().splitlines()


def test_a_queue_that_refuses_is_told_in_its_own_words(queue: Path) -> None:
    fake_lp(queue, 'echo "lp: The printer or class does not exist." >&2; exit 1')
    with pytest.raises(PrinterError, match="The printer or class does not exist") as refused:
        labels.send(queue / "label.pdf", "nowhere")
    assert refused.value.next_step


def test_a_queue_that_hangs_is_given_up(queue: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fake_lp(queue, "exec /bin/sleep 20")
    monkeypatch.setattr(printer, "PATIENCE", 0.2)
    with pytest.raises(PrinterError, match="did not answer"):
        labels.send(queue / "label.pdf")


def test_a_machine_without_lp_says_so(queue: Path) -> None:
    with pytest.raises(PrinterError, match="no `lp`"):
        labels.send(queue / "label.pdf")


def test_no_file_or_no_copies_is_not_sent(queue: Path) -> None:
    fake_lp(queue, "exit 0")
    for path, copies in ((queue / "gone.pdf", 1), (queue / "label.pdf", 0)):
        with pytest.raises(LabelError, match="Nothing to print"):
            labels.send(path, None, copies)


def test_nothing_that_comes_back_claims_paper_came_out(queue: Path) -> None:
    fake_lp(queue, "exit 0")
    assert "print" not in " ".join(Sent.__dataclass_fields__).replace("printer", "")
