"""The example that the package carries and the page that describes the file agree with the reader."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from looseends.catalogue import load_catalogue
from looseends.inspection import EXAMPLE_VISIT, Visit, read_visit
from looseends.inspection.checks_done import CHECK_KEYS, HIDDEN_KEYS
from looseends.inspection.history import REPLACED_KEYS, SYMPTOM_KEYS, USE_KEYS
from looseends.inspection.read import CONDITION_KEYS, NOT_CHECKED_KEYS, VISIT_KEYS
from looseends.inspection.readings import READING_KEYS

PAGE = Path(__file__).parents[2] / "docs" / "visit-file.md"
ONCE_ON_A_VEHICLE = {
    "pitman-ball", "idler-ball", "idler-arm", "sector-shaft-bushing", "steering-gear", "steering-box-mount",
    "steering-damper", "center-link", "pitman-arm", "sway-bar",
}  # fmt: skip


def pickup_parts() -> set[str]:
    """Part ids as a pickup has them: every kind of the catalogue, left and right unless there is only one."""
    kinds = set(load_catalogue().part_kinds)
    once = kinds & ONCE_ON_A_VEHICLE
    return once | {f"{kind}-{side}" for kind in kinds - once for side in ("left", "right")}


def read(path: Path) -> Visit:
    """A visit read with the package's own catalogue."""
    return read_visit(
        path, catalogue=load_catalogue(), part_ids={"yard-pickup": pickup_parts()}, vehicle_ids=["yard-pickup"]
    )


def test_the_example_tells_its_story() -> None:
    visit = read(Path(str(EXAMPLE_VISIT)))
    wrong, right = [done for done in visit.checks if done.setup.check == "bj-axial"]
    assert (wrong.setup.support, wrong.setup.side, wrong.passed_parts) == ("frame", "left", ("lower-ball-joint-left",))
    assert (wrong.readings[0].gauge_mm, wrong.observer != visit.technician) == (0.1, True)
    assert (right.setup.support, right.setup.side, right.passed_parts) == ("arm", "right", ())
    assert right.stop_gap_mm is not None and right.stop_gap_mm > 0
    assert [(seen.part, seen.condition) for seen in visit.conditions] == [("outer-tie-rod-end-left", "torn-boot")]
    assert {reading.by for done in visit.checks for reading in done.readings} == {"gauge", "hand"}


BLOCKS = re.findall(r"```toml\n(.*?)```", PAGE.read_text(encoding="utf-8"), flags=re.DOTALL)


@pytest.mark.parametrize("text", BLOCKS)
def test_an_example_on_the_page_is_accepted(tmp_path: Path, text: str) -> None:
    path = tmp_path / "page.toml"
    path.write_text(text, encoding="utf-8")
    assert read(path).checks


def test_the_page_has_an_example_and_links_to_the_one_in_the_package() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert BLOCKS
    (link,) = re.findall(r"\]\((\S+yard-pickup-slipway-knock\.toml)\)", page)
    assert (PAGE.parent / link).resolve() == Path(str(EXAMPLE_VISIT)).resolve()


@pytest.mark.parametrize(
    ("heading", "keys"),
    [
        ("The visit", VISIT_KEYS),
        ("A check", CHECK_KEYS),
        ("A reading", READING_KEYS),
        ("A condition", CONDITION_KEYS),
        ("What was not checked", NOT_CHECKED_KEYS),
        ("What hides a part", HIDDEN_KEYS),
        ("A symptom", SYMPTOM_KEYS),
        ("The use of the vehicle", USE_KEYS),
        ("A part that was replaced", REPLACED_KEYS),
    ],
)
def test_the_page_describes_each_key_once_and_no_other(heading: str, keys: tuple[str, ...]) -> None:
    section = PAGE.read_text(encoding="utf-8").split(f"\n## {heading}\n")[1].split("\n## ")[0]
    assert sorted(re.findall(r"^\| `(\w+)` \|", section, flags=re.MULTILINE)) == sorted(keys)


def test_the_page_names_every_check_support_and_jurisdiction_of_the_catalogue() -> None:
    page = PAGE.read_text(encoding="utf-8")
    known = load_catalogue()
    names = {*known.checks, *known.supports, *(limit.jurisdiction for limit in known.limits.values())}
    assert [name for name in sorted(names - {"any"}) if f"`{name}`" not in page] == []
