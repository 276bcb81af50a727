"""What is kept of calls that no reading changes: the same as asked anew, whatever was asked before, and bounded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from looseends.diagnosis.inference.explanation import Posterior
from looseends.diagnosis.inference.posterior import posterior
from looseends.diagnosis.observed.calls import By, calls_of
from looseends.diagnosis.observed.forecast import Forecast, Forecasts
from looseends.diagnosis.planning.information import told_by
from looseends.diagnosis.tables.table import ResponseTable
from looseends.mechanics.bodies import Array
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import (
    CARRIER,
    FOLLOWER,
    IDLER,
    JAM_NUT,
    ON_ARM,
    ON_FRAME,
    beliefs,
    growing,
    made_table,
    states_of,
)

PARTS = (CARRIER, JAM_NUT, FOLLOWER)
STATES = states_of(*PARTS)
SHOWN: Mapping[Setup, Mapping[str, Mapping[int, float]]] = {
    ON_ARM: {CARRIER: {0: 1.0, 3: 0.5}, JAM_NUT: {3: 0.7}},
    IDLER: {},
    ON_FRAME: {CARRIER: {1: 0.7}, JAM_NUT: {1: 2.0, 3: 1.0}, FOLLOWER: {1: 0.4}},
}
TABLES = {
    setup: made_table({s.part.id: growing(s, of[s.part.id]) for s in STATES if s.part.id in of}, setup=setup)
    for setup, of in SHOWN.items()
}
WATCHES = {CARRIER: {*range(4), *range(8, 12)}, JAM_NUT: {*range(4), *range(8, 12)}, FOLLOWER: {*range(8, 12)}}
"""Numbers of the watches that a part moves, of all setups one after another."""


def plainly(names: tuple[str, ...], places: tuple[int, ...], by: By) -> Array:
    """Chances of all calls at every watch where some parts are in some states, asked watch by watch."""
    chances = []
    for table in TABLES.values():
        watched = calls_of(by).at([table], beliefs())
        for watch in range(len(table.watches)):
            changes = [table.singles[n][s, watch] for n, s in zip(names, places, strict=True) if n in table.singles]
            change = np.sum(changes, axis=0) if changes else np.zeros(2)
            chances.append(watched.chances(np.array([watch]), change[None])[0])
    return np.array(chances)


asked = st.lists(
    st.sampled_from([(CARRIER,), (JAM_NUT,), (CARRIER, JAM_NUT), PARTS]).flatmap(
        lambda names: st.tuples(
            st.just(names), st.tuples(*(st.integers(0, len(s.weight) - 1) for s in STATES if s.part.id in names))
        )
    ),
    min_size=1,
    max_size=12,
)


@settings(deadline=None, max_examples=40)
@given(asked=asked, by=st.sampled_from(("hand", "eye", "gauge")), most=st.sampled_from((1, 3000, 10**8)))
def test_independent_chances_that_are_kept_are_those_of_each_watch_asked_by_itself(
    asked: list[tuple[tuple[str, ...], tuple[int, ...]]], by: By, most: int
) -> None:
    """In whatever order and however little is kept of it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("looseends.diagnosis.observed.forecast._MOST_BYTES", most)
        forecast = Forecast(tuple(TABLES.values()), beliefs(), by)
        np.testing.assert_allclose(forecast.sound, plainly((), (), by), rtol=1e-12)
        for names, places in asked:
            watches, chances = forecast.averaged({names: ([places], np.ones((1, 1)))})[names]
            assert set(watches.tolist()) == set.intersection(*(WATCHES[name] for name in names))
            np.testing.assert_allclose(chances[0], plainly(names, places, by)[watches], rtol=1e-12)
            assert forecast.bytes_kept <= most


@settings(deadline=None, max_examples=40)
@given(data=st.data(), many=st.sampled_from((0, 2, 10**6)))
def test_independent_averages_over_states_are_those_of_each_state_asked_by_itself(
    data: st.DataObject, many: int
) -> None:
    """However many states are known besides, and where the same state is among those of several averages."""
    pairs = st.tuples(*(st.integers(0, len(s.weight) - 1) for s in STATES[:2]))
    places = data.draw(st.lists(st.lists(pairs, min_size=3, max_size=3, unique=True), min_size=1, max_size=4))
    weights = np.array(data.draw(st.lists(st.floats(0.0, 1.0), min_size=3 * len(places), max_size=3 * len(places))))
    weights = weights.reshape(len(places), 3)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("looseends.diagnosis.observed.forecast._MANY", many)
        forecast = Forecast(tuple(TABLES.values()), beliefs(), "hand")
        before = data.draw(st.lists(pairs, min_size=1, max_size=9, unique=True))
        forecast.averaged({PARTS[:2]: (before, np.ones((1, len(before))))})
        watches, found = forecast.averaged({PARTS[:2]: ([place for own in places for place in own], weights)})[
            PARTS[:2]
        ]
    for own, weight, chances in zip(places, weights, found, strict=True):
        plain = sum(w * plainly(PARTS[:2], place, "hand")[watches] for place, w in zip(own, weight, strict=True))
        np.testing.assert_allclose(chances, plain, rtol=1e-12, atol=1e-15)


def test_exact_parts_meet_where_just_they_move_a_watch() -> None:
    forecast = Forecast(tuple(TABLES.values()), beliefs(), "hand")
    assert forecast.meetings((CARRIER,)) == [(CARRIER,)]
    assert forecast.meetings((CARRIER, "steering-gear")) == [(CARRIER,)]
    assert forecast.meetings((CARRIER, FOLLOWER)) == [(CARRIER,), (CARRIER, FOLLOWER)]
    assert forecast.meetings(PARTS) == [(CARRIER, JAM_NUT), PARTS]
    assert forecast.meetings(()) == []


def test_a_forecast_serves_who_asks_by_the_same_tables_and_beliefs_and_is_begun_anew_for_others() -> None:
    forecasts, tables = Forecasts(), tuple(TABLES.values())
    first = forecasts.of(tables, beliefs(), "hand")
    assert forecasts.of(tables, replace(beliefs()), "hand") is first
    assert forecasts.of(tables, beliefs(), "eye") is not first
    surer = replace(beliefs(), share_of_change=0.5 * beliefs().share_of_change)
    other = forecasts.of(tables, surer, "hand")
    assert other is not first
    assert forecasts.of((*tables[:2], replace(tables[2])), surer, "hand") is not other


def believed(*odds: float) -> Posterior:
    """A posterior by what is believed of the three parts."""
    return posterior(STATES, dict(zip(PARTS, odds, strict=True)), (), beliefs())


def test_independent_what_is_told_does_not_depend_on_what_was_asked_before() -> None:
    kept = Forecasts()
    for odds in ((-1.0, -1.0, -3.0), (0.0, -2.0, -1.0), (-1.0, -1.0, -3.0)):
        left: list[dict[Setup, ResponseTable]] = [dict(TABLES), {s: t for s, t in TABLES.items() if s != ON_ARM}]
        for tables in left:
            told = told_by(believed(*odds), TABLES, beliefs(), left=tuple(tables), forecasts=kept)
            plain = told_by(believed(*odds), tables, beliefs())
            assert told.keys() == plain.keys()
            for setup, entry in plain.items():
                assert told[setup].bits == pytest.approx(entry.bits, rel=1e-9, abs=1e-12)
                assert dict(told[setup].settles) == pytest.approx(dict(entry.settles), rel=1e-9, abs=1e-12)
    assert told_by(believed(0.0, 0.0, 0.0), TABLES, beliefs(), left=()) == {}
