"""Taking in, in a real browser: the number off a photo, a vehicle by tape, and nothing lost on the way or offline."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from playwright.sync_api import FilePayload, Page, expect

from tests.web.bay import faults, reach
from tests.web.stickers import VIN, sticker

pytestmark = pytest.mark.browser


def photo(content: bytes) -> FilePayload:
    """What a camera hands over."""
    return {"name": "sticker.jpg", "mimeType": "image/jpeg", "buffer": content}


def test_the_number_is_read_off_and_what_was_typed_waits_while_the_vehicle_is_described(page: Page) -> None:
    page.goto("/intake")
    page.locator("#complaint").fill("It wanders")
    page.locator("#tire-rear-left").select_option("feathered")
    page.locator("#vin-photo").set_input_files(photo(sticker(VIN, "Code 39")))
    expect(page.locator("#vin-told")).to_contain_text("Code 39 code: compare it")
    expect(page.locator("#vin")).to_have_value(VIN)
    gray = io.BytesIO()
    Image.new("L", (300, 200), 90).save(gray, "JPEG")
    page.locator("#vin-photo").set_input_files(photo(gray.getvalue()))
    expect(page.locator("#vin-told")).to_contain_text("or type the number")
    assert faults(page) == [] and reach(page) == []
    page.context.set_offline(True)
    page.locator("#not-listed").click()
    expect(page.locator("#no-network")).to_contain_text("needs the network")
    page.context.set_offline(False)
    page.locator("#not-listed").click()
    page.locator("label", has_text="struts, rack and pinion, twist beam").click()
    expect(page.locator("#spring_arm")).to_have_value("strut")
    page.locator("#wheelbase_mm").fill("2600")
    assert faults(page) == [] and reach(page) == []
    page.context.set_offline(True)
    page.locator("#name").press("Enter")
    expect(page.locator("#no-network")).to_be_visible()
    expect(page.locator("#wheelbase_mm")).to_have_value("2600")
    page.context.set_offline(False)
    page.get_by_role("link", name="Back to taking in").click()
    expect(page.locator("#complaint")).to_have_value("It wanders")
    expect(page.locator("#tire-rear-left")).to_have_value("feathered")
    expect(page.locator("#vin")).to_have_value(VIN)
