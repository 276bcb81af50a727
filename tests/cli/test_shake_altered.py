"""`looseends shake --altered`: an altered vehicle shows what the alteration hides, and a wrong one is refused."""

from __future__ import annotations

import pytest

from tests.cli.command_line import SHAKE, refusal, run

CRANKED = ("--altered", "wound-up-torsion-bar=40")
WORN = ("--worn", "lower-ball-joint-left=2", "--stand-inboard", "80")
WHERE = "looseends shake, --altered"


def test_cranked_bars_hide_what_the_same_stand_shows_on_the_vehicle_as_made(capsys: pytest.CaptureFixture[str]) -> None:
    made, cranked = (run(capsys, *SHAKE, *WORN, *more, "--json").json() for more in ((), CRANKED))
    assert (made["stop_touching"], cranked["stop_touching"]) == (False, True)
    shown = [next(m["mm"] for m in a["movements"] if m["watch"] == "lower-ball-joint-left") for a in (made, cranked)]
    assert shown[0] > 1.7
    assert shown[1] < 0.3
    assert cranked["altered"] == [{"id": "wound-up-torsion-bar", "amount": 40.0, "unit": "mm", "end": None}]


def test_the_heading_tells_what_is_altered(capsys: pytest.CaptureFixture[str]) -> None:
    done = run(capsys, *SHAKE, "--altered", "wound-up-torsion-bar.turns=2", "--altered", "lift-block.rear=50")
    assert done.code == 0
    heading = " ".join(done.out.split())
    assert "torsion bar wound up or key reclocked 2 turns, lift block at the rear 50 mm" in heading


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ("lift-block", f'{WHERE} must be ALTERATION=MM, as in lift-block=50, found "lift-block".'),
        ("lift-block.middle=50", f'{WHERE} lift-block: behind the dot must be front or rear or turns, found "middle".'),
        ("lift-block=2in", f'{WHERE} lift-block: amount must be a plain finite number in mm, found "2in"; write 50.8.'),
        ("lift-block=2", f'{WHERE}: "lift-block" must be from 5 to 200 mm, found 2'),
        ("lift-blok=9", f'{WHERE}: alteration "lift-blok" is not known; did you mean "lift-block"'),
        ("coil-spacer=20", f'{WHERE}: yard-pickup has nothing that "coil-spacer" in mm could change'),
    ],
)
def test_a_wrong_alteration_is_refused(given: str, sentence: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert refusal(capsys, *SHAKE, "--altered", given).startswith(sentence)
