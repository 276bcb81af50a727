"""The route's sheet on paper and in plain text: every step with its boxes, its cautions beside it."""

from __future__ import annotations

import dataclasses
import io
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from looseends.catalogue import load_catalogue
from looseends.diagnosis.observed.complaints import suspicion_of
from looseends.diagnosis.planning.route import full_route, route_within
from looseends.diagnosis.planning.ways import By
from looseends.errors import InputError
from looseends.report.route_content import RouteContent, route_content
from looseends.report.route_paper import route_pdf
from looseends.report.route_text import COLUMNS, route_text
from looseends.report.writing import write_route_sheet
from tests.diagnosis.made_complaints import WANDERS
from tests.diagnosis.made_tables import beliefs, yard_pickup
from tests.diagnosis.made_ways import WAYS


def content(by: By = "gauge") -> RouteContent:
    """The whole route over the made ways."""
    return route_content(full_route(yard_pickup(), WAYS, by, beliefs()), yard_pickup())


def for_complaint(minutes: float = 15.0) -> RouteContent:
    """A route for a complaint."""
    suspicion = suspicion_of(yard_pickup(), [WANDERS], beliefs())
    route = route_within(yard_pickup(), WAYS, "gauge", beliefs(), suspicion.weights, minutes)
    return route_content(route, yard_pickup(), suspicion)


def squeezed(text: str) -> str:
    """Text without spaces and hyphens, which a page breaks where it likes."""
    return "".join(text.split()).replace("\u00a0", "").replace("-", "")


def printed(sheet: RouteContent) -> str:
    """All text of the PDF."""
    return squeezed("".join(page.extract_text() for page in PdfReader(io.BytesIO(route_pdf(sheet))).pages))


def in_order(text: str, *words: str) -> bool:
    """Whether the words stand in the text one after the other."""
    at = 0
    for word in words:
        at = text.find(squeezed(word), at)
        if at < 0:
            return False
    return True


@pytest.mark.parametrize("by", ["gauge", "hand"])
def test_both_sheets_have_every_word_of_the_route(by: By) -> None:
    sheet = content(by)
    said = [sheet.title, *sheet.summary, sheet.opening_name, *(words for _, words in sheet.opening)]
    for leg in sheet.legs:
        said += [leg.name, leg.time, leg.how, leg.proof, leg.caution]
        for step in leg.steps:
            said += [step.name, step.held, step.time, step.do, step.caution]
            said += [words for watch in step.watches for words in (watch.watch, watch.where, watch.proves)]
    said += [*sheet.together, *sheet.unproven]
    paper, plain = printed(sheet), squeezed(route_text(sheet))
    assert [words for words in said if squeezed(words) not in paper] == []
    assert [words for words in said if squeezed(words) not in plain] == []


def test_the_lift_points_come_before_any_support() -> None:
    sheet = content()
    for text in (printed(sheet), squeezed(route_text(sheet))):
        assert in_order(text, "0. Look at the lift points", sheet.opening[1][1], *(leg.name for leg in sheet.legs))


def test_each_caution_stands_with_its_step() -> None:
    sheet = content()
    for text in (printed(sheet), squeezed(route_text(sheet))):
        for leg in sheet.legs:
            for step in leg.steps:
                start = text.index(squeezed(f"{step.number}. {step.name}"))
                end = text.index("Note", start)
                assert squeezed(step.caution) in text[start:end]


def test_readings_by_gauge_have_boxes_for_numbers_and_others_for_grades() -> None:
    by_gauge, by_hand = route_text(content("gauge")), route_text(content("hand"))
    every = [watch for leg in content("gauge").legs for step in leg.steps for watch in step.watches]
    watches, looks = (sum(watch.by_look is by_look for watch in every) for by_look in (False, True))
    assert looks == by_gauge.count("[ ] Found …   [ ] Nothing found   [ ] Could not see") > 0
    assert by_gauge.count("all, mm ____") == by_gauge.count("   gauge ____") == watches
    assert "[ ] slight" not in by_gauge
    assert by_hand.count("[ ] none   [ ] slight   [ ] clear   [ ] gross") > 2
    assert "all, mm" not in by_hand
    assert in_order(printed(content("gauge")), "All, mm", "Dead zone, mm", "Gauge", "Nothing found")
    assert in_order(printed(content("hand")), "none", "slight", "clear", "gross")


def test_the_stop_gap_is_asked_for_where_front_wheels_hang() -> None:
    gaps = {leg.support: leg.stop_gap for by in ("gauge", "hand") for leg in content(by).legs}  # type: ignore[arg-type]
    assert gaps == {"wheels": False, "frame": True, "arm": True}
    text = route_text(content())
    steps = sum(len(leg.steps) for leg in content().legs)
    assert text.count("Gap at the rebound stop, mm: left ____") == 2
    assert text.count("[ ] held as above   Gap at the stop, mm ____") == text.count("[ ] held as above") == steps


def test_the_shortest_is_said_to_be_proven() -> None:
    route = full_route(yard_pickup(), WAYS, "gauge", beliefs())
    assert f"none takes less than {route.minutes:g} min" in " ".join(content().summary)


def test_a_complaint_says_how_it_was_taken_and_what_it_leaves_open() -> None:
    said = " ".join(for_complaint().summary)
    assert "The complaint is taken as: “wanders on a straight road”." in said
    assert "a hint where to look first and no finding: " in said
    assert "idler arm" in said.split("no finding: ")[1]
    assert "no clearance of this vehicle tells: tire pressure; worn rack." in said
    assert f"decided by what is not in this route: {load_catalogue().checks['dry-park'].name}." in said
    held = "not within 15 min (lift the wheel with a bar, held under the lower arms"
    assert any(line.startswith(f"left lower ball joint along its axis: {held}") for line in for_complaint().unproven)


def test_plain_text_keeps_to_its_columns() -> None:
    for sheet in (content("gauge"), content("hand"), for_complaint()):
        assert [line for line in route_text(sheet).splitlines() if len(line) > COLUMNS] == []


def test_the_sheet_is_tagged_titled_and_always_the_same() -> None:
    reader = PdfReader(io.BytesIO(route_pdf(content())))
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "pdfuaid" in root["/Metadata"].get_data().decode()
    assert reader.metadata is not None and reader.metadata.title == content().title
    assert all(float(page.mediabox.width) == pytest.approx(595.3, abs=0.5) for page in reader.pages)
    assert route_pdf(content()) == route_pdf(content())


def test_typst_code_in_texts_is_printed_and_not_run() -> None:
    code = '#panic("no") $x$ \\ <b>'
    sheet = dataclasses.replace(content(), title=code, summary=(code,), unproven=(code,))
    assert printed(sheet).count(squeezed(code)) >= 3


def test_two_files_are_written_and_another_route_does_not_overwrite_them(tmp_path: Path) -> None:
    paths = write_route_sheet(content(), tmp_path / "out")
    assert [path.name for path in paths] == ["route-yard-pickup.pdf", "route-yard-pickup.txt"]
    assert paths[0].read_bytes().startswith(b"%PDF")
    assert paths[1].read_text(encoding="utf-8") == route_text(content())
    assert write_route_sheet(content(), tmp_path / "out") == paths
    with pytest.raises(InputError, match="a route sheet that says something else is already there"):
        write_route_sheet(content("hand"), tmp_path / "out")
    write_route_sheet(content("hand"), tmp_path / "out", replace=True)
    assert paths[1].read_text(encoding="utf-8") == route_text(content("hand"))
