"""Real tables of the yard pickup, few and cheap, computed once per run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from looseends.diagnosis import judge
from looseends.diagnosis.tables.prepare import prepare_tables
from looseends.diagnosis.tables.store import TableStore
from looseends.diagnosis.tables.table import ResponseTable
from looseends.inspection.types import CheckDone, ConditionSeen, Judgement
from looseends.vehicle.setup import Setup
from tests.diagnosis.made_tables import LOCKED, ON_ARM, ON_FRAME, visit, yard_pickup

SETUPS = (ON_FRAME, ON_ARM, LOCKED)


@dataclass(frozen=True)
class Preparation:
    """A store with the tables of SETUPS."""

    store: TableStore

    def table(self, setup: Setup) -> ResponseTable:
        """The table of a setup as it is read from the store."""
        found = self.store.load("yard-pickup", setup)
        assert found is not None
        return found


@pytest.fixture(scope="session")
def preparation(tmp_path_factory: pytest.TempPathFactory) -> Preparation:
    """All of SETUPS."""
    store = TableStore(tmp_path_factory.mktemp("tables"))
    prepare_tables(yard_pickup(), store=store, setups=SETUPS)
    return Preparation(store)


@pytest.fixture
def judged(preparation: Preparation, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Judgement]:
    """Judges a visit of these checks and conditions, as if the setups of these tables were all that are usual."""
    monkeypatch.setattr("looseends.diagnosis.inference.in_common.usual_setups", lambda vehicle: (ON_FRAME, ON_ARM))

    def of(*checks: CheckDone, conditions: tuple[ConditionSeen, ...] = ()) -> Judgement:
        return judge.judge_visit(visit(*checks, conditions=conditions), yard_pickup(), store=preparation.store)

    return of
