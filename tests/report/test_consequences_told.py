"""What worn parts do, as the handover tells it: with the amounts of the account, and not at all without one."""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from looseends.diagnosis.consequences.account import Account, account_of
from looseends.diagnosis.consequences.wear import PartWear, known
from looseends.language import Speech
from looseends.report import Enclosures, handover_html, handover_pdf
from looseends.report.account_content import consequences_text
from looseends.report.account_words import part_names, worn_ledgers
from tests.report.handover_sample import VOCABULARY, yard_pickup_judgement, yard_pickup_plan
from tests.vehicle.front_end import yard_pickup

ROD = "outer-tie-rod-end-left"
METRIC, US = Speech(), Speech("es", "us")


@pytest.fixture(scope="module")
def account() -> Account:
    """The yard pickup with 1.5 mm of play in one rod end."""
    return account_of(yard_pickup(), known({ROD: PartWear(radial_mm=1.5)}), "us-federal")


def test_shares_and_what_sound_parts_have_add_up_to_the_whole(account: Account) -> None:
    shares, _ = consequences_text(account, part_names(yard_pickup()), METRIC).tables
    rows = {row[0]: [float(cell) for cell in row[1:]] for row in shares.rows}
    own, sound, whole = (rows[name] for name in ("left outer tie-rod end", "all sound parts", "in all"))
    assert len(whole) == len(worn_ledgers(account)) >= 2
    for share, rest, total in zip(own, sound, whole, strict=True):
        assert share + rest == pytest.approx(total, abs=0.15)  # three roundings


def test_the_customer_reads_whose_the_play_is_and_what_the_repair_leaves(account: Account) -> None:
    words = consequences_text(account, part_names(yard_pickup()), METRIC).in_short
    ledger = next(ledger for ledger in account.ledgers if ledger.place.id == "tread-left")
    amounts = [float(mm) for mm in re.findall(r"(\d+\.\d) mm", words)]
    told = [ledger.total_mm, ledger.shares_mm[ROD], ledger.sound_mm, ledger.sound_mm]
    assert amounts == pytest.approx(told, abs=0.051)
    assert words.startswith("Tread of the left front wheel") and "After replacing left outer tie-rod end" in words


def test_in_us_units_the_table_is_in_inches(account: Account) -> None:
    names = part_names(yard_pickup())
    metric, inches = (consequences_text(account, names, speech).tables[0] for speech in (METRIC, US))
    assert metric.caption.endswith("[mm]") and inches.caption.endswith("[in]")
    for one, other in zip(metric.rows[-1][1:], inches.rows[-1][1:], strict=True):
        assert float(other) * 25.4 == pytest.approx(float(one), abs=0.026)


def test_where_play_moves_to_is_told_by_the_places_names(account: Account) -> None:
    assert account.moves
    places = {ledger.place.id: ledger.place.name for ledger in account.ledgers}
    for speech in (METRIC, US):
        repair = " ".join(consequences_text(account, part_names(yard_pickup()), speech).repair)
        assert all(speech.words(places[move.place]) in repair for move in account.moves)
        assert not re.search(r"\b[a-z]+-(left|right)\b", repair)


def test_page_and_pdf_tell_repair_road_and_tires(account: Account) -> None:
    enclosed = Enclosures(account=account)
    judgement, plan = yard_pickup_judgement(), yard_pickup_plan()
    body = " ".join(handover_html(judgement, plan, VOCABULARY, enclosures=enclosed).split())
    file = handover_pdf(judgement, plan, VOCABULARY, enclosures=enclosed)
    paper = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(file)).pages).split())
    for words in (
        "Annex: what the worn parts do",
        "Replace outer tie rod end left.",  # the sample's parts go by other ids
        "Braking: left front wheel swings",
        "may come to show",
        "play shows next where it was hidden before",
    ):
        assert words in body and words in paper, words


def test_without_an_account_the_page_stands(account: Account) -> None:
    body = handover_html(yard_pickup_judgement(), yard_pickup_plan(), VOCABULARY)
    assert "what the worn parts do" not in body and "What needs doing" in body
