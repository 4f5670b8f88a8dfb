"""One vehicle all the way through the yard by commands alone, on each database."""

from __future__ import annotations

from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from app.book.papers import weight_paper
from app.book.work import open_book
from labels import WeightTicket
from tests.commands.desk import Desk

VIN = "0DMLW53A68B104417"
ARM = "front lower control arm"


def decoded(file: Path) -> set[str]:
    """What an independent decoder reads off a picture."""
    formats = zxingcpp.barcode_formats_from_str("QRCode,Code128")
    with Image.open(file) as picture:
        return {found.text for found in zxingcpp.read_barcodes(picture.convert("L"), formats=formats)}


def taken_in(desk: Desk) -> str:
    """The truck of the story, taken in; its stock number."""
    readings = ["--vin", f"dash={VIN}", "--vin", f"door label={VIN}"]
    money = ["--price", "1,150.00", "--fee", "285", "--tow", "$120"]
    looks = ["--model", "longwagon light", "--built", "2007-11", "--miles", "143,200", "--fact", "window=Power"]
    taken = desk.record("--by", "IN1", "take-in", *readings, *money, *looks, "--source", "auction")
    assert taken["vin"] == VIN
    assert taken["year"] == 2008
    assert taken["landed"] == "1555.00"
    assert taken["hold_until"] is None
    return str(taken["stock_number"])


def weighed_in(desk: Desk, stock: str) -> None:
    """Gross 25,480 and tare 19,860 typed the wrong way round, refused, and turned."""
    swapped = ["weigh", "in", stock, "--gross", "19,860", "--tare", "25,480"]
    assert "--swap" in desk.line(*swapped)
    refused = desk.refusal(*swapped)
    assert "--swap" in refused["remedy"]
    assert refused["details"]["swap"] is True
    ticket = desk.record("--by", "S1", *swapped, "--swap")["ticket"]
    assert (ticket["gross"], ticket["tare"], ticket["net"]) == ("25480", "19860", "5620")


def surveyed(desk: Desk, stock: str) -> None:
    looks = ["--section", "fully boxed", "--front", "coil-over", "--rear", "five-link coil"]
    lengths = ["--diagonal", "middle", "118 7/16", "118 1/2", "--measure", "rail height=7.10@dial caliper"]
    found = desk.record("--by", "IN1", "survey", stock, *looks, *lengths)
    assert found["state"] == "straight"
    assert found["agrees"] is True


def drained(desk: Desk, stock: str) -> None:
    assert "fuel not drained" in desk.line("torch", stock)
    found = desk.record("drain", stock, "--gasoline", "11.5", "--battery", "38", "--hours", "0.8")
    # 6.1 lb a gallon: common practice, no source.
    assert found["fluids_lb"] == str(Decimal("11.5") * Decimal("6.1"))
    assert "torch allowed" in desk.says("torch", stock)


def harvested(desk: Desk, stock: str) -> str:
    words = ["--by", "P1", "harvest", stock, ARM, "--side", "rh", "--condition", "b", "--damage", "light rust"]
    facts = ["--fact", "arm length=17 1/4@hook tape", "--fact", "torsion socket=no", "--design", "ARM-LIGHT"]
    part = desk.record(*words, *facts, "--weight", "29.5", "--price", "75")
    assert part["where"] == "in hand"
    assert part["price"] == "75.00"
    assert part["weight_lb"] == "29.5"
    assert part["facts"] == {"arm length": "17 1/4", "torsion socket": "no"}
    assert any("Stored force" in caution for caution in part["cautions"])
    return str(part["tag"])


def test_a_truck_goes_from_the_gate_to_the_ticket(each_yard: Desk, tmp_path: Path) -> None:
    desk = each_yard
    stock = taken_in(desk)
    weighed_in(desk, stock)
    surveyed(desk, stock)
    drained(desk, stock)
    tag = harvested(desk, stock)

    label = tmp_path / "label.png"
    assert desk.record("label", tag, "--to", str(label), "--dpi", "300")["file"] == str(label)
    assert decoded(label) == {tag}

    put = desk.record("--by", "P1", "put-away", tag.lower(), "a1-2")
    assert (put["place"], put["came_from"]) == ("A1-2", "in hand")
    assert [each["tag"] for each in desk.record("place", "A1-2")["parts"]] == [tag]

    answer = desk.record("--by", "C1", "ask", "08", "longwagon", "light", "lca", "rh")
    assert list(answer) == [
        "asked",
        "questions",
        "answers",
        "not_what_was_asked",
        "do_not_sell",
        "kept",
        "counted",
        "typed",
    ]
    best = answer["answers"][0]
    assert (best["tags"], best["grade"], best["price"]) == ([tag], "bolts_up", 75.0)
    people_say = desk.says("ask", "08", "longwagon", "light", "lca", "rh", "--no-keep")
    assert "bolts up" in people_say
    assert best["say"] in people_say

    desk.record("--by", "C1", "hold", tag, "--name", "R. Ash")
    assert desk.refusal("--by", "C1", "sell", tag)["kind"]
    assert desk.record("release", tag)["words"].startswith(tag)

    receipt = tmp_path / "receipt.pdf"
    sold = desk.record("--by", "C1", "sell", tag, "--receipt", str(receipt))["ticket"]
    # 6.25 % of 75.00 is 4.6875, half a cent up.
    assert (sold["parts"], sold["tax"], sold["total"], sold["state"]) == ("75.00", "4.69", "79.69", "paid")
    assert receipt.read_bytes().startswith(b"%PDF")
    assert desk.refusal("sell", tag)

    weighed_out_and_seen(desk, stock, tag, tmp_path / "ticket.png")


def weighed_out_and_seen(desk: Desk, stock: str, tag: str, file: Path) -> None:
    scale = ["--gross", "25,340", "--tare", "19,860", "--price", "212", "--per", "gross ton", "--party", "Kell Mill"]
    out = desk.record("--by", "S1", "weigh", "out", stock, *scale, "--ticket", str(file))["ticket"]
    assert out["net"] == "5480"
    # 5,480 lb over 2,240 lb a gross ton at 212.00 is 518.6428…
    assert out["amount"] == "518.64"
    assert out["balance"]["verdict"] == "as expected"
    assert Decimal(out["balance"]["expected"]) == 5620 - Decimal("70.15") - 38 - Decimal("29.5")
    assert out["tag"] in decoded(file)

    page = desk.record("donor", stock)
    assert (page["state"], page["frame_state"]) == ("weighed out", "straight")
    assert page["costs"][0] == {"kind": "price", "amount": "1150.00"}
    # 0.8 h at 32.00 on top of what it landed at.
    assert page["cost"] == "1580.60"
    assert page["money"] == "593.64"
    assert [part["tag"] for part in page["parts"]] == [tag]
    assert page["facts"] == {"window": "power"}

    lines = desk.record("history")["history"]
    done = {(line["by"], line["action"]) for line in lines if line["outcome"] == "done"}
    assert {("IN1", "take in"), ("P1", "harvest"), ("C1", "sell"), ("S1", "weigh out")} <= done
    assert {"weight swapped", "torch"} <= {line["action"] for line in lines if line["outcome"] == "refused"}
    assert all(line["at"].endswith("Z") for line in lines)


def test_a_move_is_taken_back_and_a_part_taken_up(yard: Desk) -> None:
    tag = harvested(yard, taken_in(yard))
    yard.record("--by", "P1", "put-away", tag, "A1-2")
    assert yard.record("--by", "P1", "take-back")["words"] == f"{tag} is back: in hand"
    yard.record("--by", "P1", "put-away", tag, "A1-2")
    assert "P1's hands" in yard.record("--by", "P1", "take-up", tag)["words"]


def test_tickets_are_voided_with_a_reason_and_stay(yard: Desk) -> None:
    stock = taken_in(yard)
    weighed_in(yard, stock)
    tag = harvested(yard, stock)
    number = yard.record("sell", tag)["ticket"]["number"]
    voided = yard.record("void", str(number), "--reason", "came back within the hour")["ticket"]
    assert (voided["state"], voided["void_reason"]) == ("voided", "came back within the hour")
    assert yard.record("part", tag)["standing"] == "free"
    assert yard.record("sale", str(number))["ticket"] == voided

    first = yard.record("weigh", "list")["tickets"][0]
    assert yard.record("weigh", "show", first["tag"])["ticket"] == first
    assert yard.record("weigh", "void", str(first["number"]), "--reason", "wrong truck")["ticket"]["void_reason"]
    assert yard.refusal("weigh", "void", str(first["number"]), "--reason", "again")["kind"] == "refused"


def test_a_mistyped_vin_is_refused_with_what_may_have_been_meant(yard: Desk) -> None:
    wrong = VIN.replace("53A", "S3A")
    refused = yard.refusal("take-in", "--vin", wrong, "--model", "longwagon light")
    assert VIN in refused["details"]["suggestions"]
    assert VIN in yard.line("take-in", "--vin", wrong, "--model", "longwagon light")
    assert yard.record("donors")["donors"] == []
    assert yard.record("history", "--action", "vin")["history"][0]["outcome"] == "refused"


def test_papers_that_do_not_let_the_yard_buy_turn_a_vehicle_away(yard: Desk) -> None:
    seller = ["--seller-name", "R. Ash", "--title-name", "P. Birch", "--id-number", "X1", "--id-expires", "2020-01-31"]
    refused = yard.refusal("take-in", "--vin", VIN, "--one-reading", "no door", "--source", "walk-in", *seller)
    assert refused["kind"] == "papers"
    turned = yard.record("turn-away", "--vin", VIN, *seller)
    assert turned["reasons"] == ["title in another name (P. Birch)", "ID expired 2020-01-31"]
    assert yard.record("donors")["donors"] == []


def test_a_doubtful_weight_is_confirmed_by_name(yard: Desk) -> None:
    heavy = ["harvest", taken_in(yard), "steering gear", "--weight", "80"]
    assert "--sure weight" in yard.line(*heavy)
    assert yard.record(*heavy, "--sure", "weight")["weight_lb"] == "80"


def test_a_basket_has_its_own_prices_discounts_and_cores(yard: Desk) -> None:
    stock = taken_in(yard)
    gears = [yard.record("harvest", stock, "steering gear", "--price", "128")["tag"] for _ in range(2)]
    said = [
        "--price",
        f"{gears[1]}=100.00",
        "--old-one-in",
        gears[1],
        "--discount",
        "10",
        "--said",
        f"{gears[0]}=swap it",
    ]
    sold = yard.record("sell", *gears, *said, "--customer", "R. Ash", "--paid", "card", "--slip", "0412")["ticket"]
    assert (sold["parts"], sold["discount"], sold["core"]) == ("228.00", "22.80", "20.00")
    # 6.25 % of 205.20 is 12.825, half a cent up; none on the core.
    assert (sold["tax"], sold["total"]) == ("12.83", "238.03")
    assert [line["said"] for line in sold["lines"]] == ["swap it", ""]
    hood = yard.record("harvest", stock, "hood", "--price", "210", "--on-vehicle")["tag"]
    assert yard.refusal("--by", "C1", "sell", hood, "--discount", "30")["place"] == "discount"
    badge = yard.record("--by", "C1", "sell", hood, "--discount", "30", "--discount-by", "OW", "--exempt", "EX-7")
    assert badge["ticket"]["total"] == "147.00"


@pytest.mark.parametrize(("typed", "said", "words"), [("dirt=2%", "22", "dirt, 2 %"), ("tires=120", "120", "tires")])
def test_what_is_deducted_comes_off_the_net_and_stands_on_the_ticket_in_pounds(
    yard: Desk, typed: str, said: str, words: str
) -> None:
    scrap = ["weigh", "scrap", "cast aluminum", "--party", "R. Ash", "--gross", "21,100", "--tare", "20,000"]
    ticket = yard.record(*scrap, "--deduct", typed, "--price", "0.55", "--per", "lb")["ticket"]
    assert ticket["deductions"] == said
    assert ticket["net"] == str(1100 - int(said))
    assert Decimal(ticket["amount"]) == (1100 - int(said)) * Decimal("0.55")
    assert f"{words}: {said} lb" in yard.says("weigh", "show", str(ticket["number"]))
    with closing(open_book(yard.address)) as book:
        drawn = weight_paper(book, str(ticket["number"])).record
    assert isinstance(drawn, WeightTicket)
    assert drawn.deductions == ((words, said),)


def test_a_want_is_kept_for_a_name_and_a_phone(yard: Desk) -> None:
    want = yard.record("want", "09", "longwagon", "hood", "--name", "R. Ash", "--phone", "555-0142", "--most", "450")
    assert want["most"] == "450.00"
    assert yard.record("wants")["wants"] == [want]
    assert "R. Ash" in yard.says("wants")
