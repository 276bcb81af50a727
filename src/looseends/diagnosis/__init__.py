"""Diagnosis: from what was seen to which parts are worn, how sure, and what to look at next."""

from looseends.diagnosis.judge import judge_visit
from looseends.diagnosis.tables.prepare import prepare_tables
from looseends.diagnosis.tables.store import TableStore, default_store

__all__ = ["TableStore", "default_store", "judge_visit", "prepare_tables"]
