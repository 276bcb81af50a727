"""A clip on paper: its first frame, and a sentence that says that paper does not play it."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from PIL import ImageChops
from pypdf import PdfReader

from looseends.language import Speech
from looseends.report import ClipStill, Enclosures, handover_html, handover_pdf
from tests.report.handover_sample import yard_pickup_judgement, yard_pickup_plan
from tests.store.films import drawn

SAID = {
    "en": ("Annex: clips", "Paper cannot play them", "Check 2: first frame of a clip of 4 s"),
    "es": ("Anexo: videos", "El papel no puede reproducirlos", "Prueba 2: primer cuadro de un video de 4 s"),
}


def still(at: int) -> bytes:
    """A frame of a drawn clip."""
    out = io.BytesIO()
    drawn(at, 320, 240).save(out, "JPEG", quality=95)
    return out.getvalue()


CLIPS = Enclosures(clips=(ClipStill(2, 4, still(30), 320, 240), ClipStill(0, 9, still(90), 320, 240)))


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_page_and_the_paper_show_the_first_frame_and_say_that_they_do_not_play_it(language: str) -> None:
    judgement, speech = yard_pickup_judgement(), Speech(language, "metric")  # type: ignore[arg-type]
    page = handover_html(judgement, yard_pickup_plan(), speech=speech, enclosures=CLIPS)
    file = PdfReader(io.BytesIO(handover_pdf(judgement, yard_pickup_plan(), speech=speech, enclosures=CLIPS)))
    paper = " ".join(" ".join(leaf.extract_text() for leaf in file.pages).split())
    for words in SAID[language]:
        assert words in page and words in paper
    assert page.count('src="data:image/jpeg;base64,') == 2 and "<video" not in page
    shown = [image.image.convert("RGB") for leaf in file.pages for image in leaf.images if image.image]
    assert len(shown) == 2
    apart = ImageChops.difference(shown[0].resize((320, 240)), drawn(30, 320, 240)).convert("L")
    assert sum(apart.histogram()[60:]) < 800  # of 76,800: the picture, encoded anew


def test_without_clips_nothing_is_said_of_them() -> None:
    page = handover_html(yard_pickup_judgement(), yard_pickup_plan(), enclosures=replace(CLIPS, clips=()))
    assert SAID["en"][0] not in page
