"""Unknown names are answered with the nearest known ones."""

from __future__ import annotations

from looseends.catalogue import nearest, unknown_name_sentence

LONG = [f"part-{letter}" for letter in "abcdefghijklmnop"]


def test_nearest_puts_the_best_first() -> None:
    assert nearest("idler-am", ["idler-ball", "idler-arm", "torsion-bar"])[0] == "idler-arm"


def test_nearest_overlooks_case_spaces_and_underscores() -> None:
    assert nearest("Idler_Arm", ["idler-arm", "pitman-arm"], count=1) == ("idler-arm",)
    assert nearest("WHEEL BEARING", ["wheel_bearing"]) == ("wheel_bearing",)


def test_nearest_is_empty_when_nothing_is_close() -> None:
    assert nearest("xyz", ["idler-arm", "pitman-arm"]) == ()


def test_sentence_with_a_near_name_and_a_short_list_gives_both() -> None:
    assert unknown_name_sentence("support", "fram", ["frame", "arm"], where="visit.toml, check 2") == (
        'visit.toml, check 2: support "fram" is not known; did you mean "frame" or "arm" (accepted: arm, frame)?'
    )


def test_sentence_with_a_near_name_leaves_a_long_list_out() -> None:
    sentence = unknown_name_sentence("part", "part-aa", LONG, where="visit.toml")
    assert sentence.startswith('visit.toml: part "part-aa" is not known; did you mean "part-a" or ')
    assert "accepted" not in sentence


def test_sentence_without_a_near_name_shows_a_short_list() -> None:
    assert unknown_name_sentence("check", "zzz", ["idler", "bushpry"], where="visit.toml") == (
        'visit.toml: check "zzz" is not known; accepted: bushpry, idler.'
    )


def test_sentence_without_a_near_name_shows_the_start_of_a_long_list() -> None:
    sentence = unknown_name_sentence("part", "zzz", LONG, where="visit.toml")
    assert "accepted are 16 names such as part-a, part-b, " in sentence
    assert "part-p" not in sentence


def test_sentence_says_so_when_nothing_is_accepted() -> None:
    assert unknown_name_sentence("mark", "a", [], where="f.toml").endswith("accepted: no name at all, none is defined.")
