"""`looseends parts --loads`: the load path in words."""

from __future__ import annotations

import pytest

from tests.cli.command_line import run


def test_the_carrier_is_shut_at_the_frame_and_hangs_on_the_arm_stand(capsys: pytest.CaptureFixture[str]) -> None:
    """Common practice, no source: the spring presses through the joint onto the stop until a stand takes the arm."""
    entries = run(capsys, "parts", "yard-pickup", "--loads", "--json").json()
    found = {(entry["part"], entry["support"]): entry for entry in entries}
    carrier = "lower-ball-joint-left"
    assert found[carrier, "wheels"]["state"] == "L" and found[carrier, "frame"]["state"] == "R"
    assert found[carrier, "arm"]["state"] == "H"
    assert found["upper-ball-joint-left", "arm"]["state"] == "U"
    assert found[carrier, "wheels"]["seating"] in ("pressed in", "pulled out")


def test_the_table_says_it_in_words_with_the_caution(capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, "parts", "yard-pickup", "--loads")
    assert done.code == 0
    assert "shut by the spring against a stop" in done.out and "free: its play can show" in done.out
    assert "torsion" in done.out.lower()


def test_a_vehicle_without_a_follower_tells_the_carrier_alone(capsys: pytest.CaptureFixture[str]) -> None:
    roles = {entry["role"] for entry in run(capsys, "parts", "crew-van", "--loads", "--json").json()}
    assert roles == {"carrier"}
