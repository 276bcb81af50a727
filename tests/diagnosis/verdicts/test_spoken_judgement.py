"""A whole judgement said to somebody who reads Spanish and thinks in inches."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterator, Mapping
from html.parser import HTMLParser
from io import BytesIO

import pytest
from babel.messages.pofile import read_po

from looseends.catalogue import load_catalogue
from looseends.inspection.types import Judgement
from looseends.language import Speech
from looseends.language.translations import translation_files
from looseends.report import handover_html
from looseends.report.vehicle_plan import plan_geometry
from looseends.report.vehicle_words import vehicle_vocabulary
from tests.diagnosis.made_tables import CARRIER, ON_FRAME, by_hand, check_done, gauge, seen, yard_pickup
from tests.language.sentences import neutral, sentences

Judge = Callable[..., Judgement]
SPANISH_US = Speech("es", "us")


class Listening(Speech):
    """Says as another does, and keeps what it was asked to translate."""

    heard: set[str]

    def template(self, template: str) -> str:
        self.heard.add(template)
        return super().template(template)


def listening() -> Listening:
    """To a reader of Spanish with US units."""
    speech = Listening("es", "us")
    object.__setattr__(speech, "heard", set())
    return speech


class Shown(HTMLParser):
    """What a page shows, style left out."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.text: list[str] = []
        self.feed(page)

    def handle_data(self, data: str) -> None:
        if self.cdata_elem is None:
            self.text.append(data)


@pytest.fixture
def judgement(judged: Judge) -> Judgement:
    """A pass that proves nothing, readings that contradict, a touching stop, a gap not written down, a torn boot."""
    return judged(
        check_done(gauge(CARRIER, 0.1), setup=ON_FRAME, passed=[CARRIER]),
        check_done(gauge(CARRIER, 0.1), number=2),
        check_done(gauge(CARRIER, 2.6), number=3),
        check_done(by_hand(CARRIER, "gross"), number=4, stop_gap_mm=0.0),
        check_done(by_hand(CARRIER, "none"), number=5, stop_gap_mm=None),
        conditions=(seen("outer-tie-rod-end-left", "torn-boot"),),
    )


@pytest.fixture
def judgements(judgement: Judgement, judged: Judge) -> tuple[Judgement, ...]:
    """That one, a part that is worn and measured, and one that is sound."""
    worn = judged(check_done(gauge(CARRIER, 2.6), gauge("tread-lift", 2.7)))
    return judgement, worn, judged(check_done(gauge(CARRIER, 0.1)))


def texts(value: object) -> Iterator[str]:
    """Every text in a record, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for entry in value.values():
            yield from texts(entry)
    elif isinstance(value, tuple | list):
        for entry in value:
            yield from texts(entry)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from texts(getattr(value, field.name))


def page(judgement: Judgement, speech: Speech) -> str:
    """The handover."""
    vehicle = yard_pickup()
    return handover_html(judgement, plan_geometry(vehicle), vehicle_vocabulary(vehicle), speech)


def test_all_that_a_handover_says_is_translated_or_stands_in_the_data(judgements: tuple[Judgement, ...]) -> None:
    """A sentence glued together in the code would be asked for whole, and be in neither."""
    speech = listening()
    for judgement in judgements:
        page(judgement, speech)
    known = {text for file in translation_files("es") for text in _english(file.read_bytes())}
    data = set(texts(load_catalogue()))
    data |= set(texts(yard_pickup().name)) | {yard_pickup().source, *yard_pickup().parts}
    unknown = {text for text in speech.heard - known - data if not neutral(text)}
    assert len(speech.heard & set(sentences())) > 120
    assert unknown == set()


def _english(po: bytes) -> Iterator[str]:
    for message in read_po(BytesIO(po), locale="es"):
        yield from message.id if isinstance(message.id, tuple) else (message.id,)


def test_no_english_sentence_is_left_on_a_spanish_page(judgements: tuple[Judgement, ...]) -> None:
    shown = " ".join(text for judgement in judgements for text in Shown(page(judgement, SPANISH_US)).text)
    in_english = " ".join(text for judgement in judgements for text in Shown(page(judgement, Speech())).text)
    fixed = [text for text in sentences() if text.count(" ") > 2 and "{" not in text and text in in_english]
    assert len(fixed) > 20
    assert [text for text in fixed if text in shown] == []


def test_every_length_is_in_inches(judgement: Judgement) -> None:
    remarks = [SPANISH_US.words(remark.words) for remark in judgement.remarks]
    assert any("0.102 in" in words for words in remarks)  # the gauge's 2.6 mm
    assert [words for words in remarks if re.search(r"\d mm\b", words)] == []


def test_the_judgement_itself_stays_english_and_metric(judgement: Judgement) -> None:
    before = list(texts(judgement))
    page(judgement, SPANISH_US)
    assert list(texts(judgement)) == before
    assert any("2.6 mm" in text for text in before)
