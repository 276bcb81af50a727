"""The HTTP API asked what its description allows and what it does not: nothing breaks, nothing passes a role."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from litestar import Litestar
from schemathesis.core.parameters import ParameterLocation
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    ignored_auth,
    negative_data_rejection,
    positive_data_acceptance,
    response_headers_conformance,
)
from sqlalchemy import func, select

from looseends.store.ids import time_ordered_id
from looseends.store.models import Base
from looseends.web.accounts.access import ROLES, Action, Role
from looseends.web.accounts.people import account_named
from looseends.web.accounts.tokens import new_token
from tests.web.cast import NAMES, put_photo, shop, shop_records, signed_in, taken_in
from tests.web.test_access import MEANT

schemathesis.serializer.alias(["video/mp4", "video/webm", "video/quicktime"], "application/octet-stream")

# A long run: LOOSEENDS_FUZZ=500
EXAMPLES = int(os.environ.get("LOOSEENDS_FUZZ", "12"))

ASKED: dict[tuple[str, str], Action | None] = {
    ("get", "/api/complaints"): "take in",
    ("get", "/api/export"): "export everything",
    ("get", "/api/me"): None,
    ("patch", "/api/me"): None,
    ("get", "/api/me/tokens"): "keep own tokens",
    ("post", "/api/me/tokens"): "keep own tokens",
    ("delete", "/api/me/tokens/{token_id}"): "keep own tokens",
    ("post", "/api/me/password"): None,
    ("get", "/api/motion"): "see visits",
    ("get", "/api/people"): "keep people",
    ("post", "/api/people"): "keep people",
    ("get", "/api/people/{account_id}"): "keep people",
    ("patch", "/api/people/{account_id}"): "keep people",
    ("post", "/api/people/{account_id}/password-link"): "keep people",
    ("get", "/api/tables"): "see visits",
    ("get", "/api/tablet"): None,
    ("get", "/api/tape-questions"): "take in",
    ("get", "/api/vehicles"): "see visits",
    ("get", "/api/vehicles/{vehicle_id}"): "see visits",
    ("put", "/api/vehicles/{vehicle_id}"): "take in",
    ("get", "/api/vehicles/{vehicle_id}/measure-first"): "see visits",
    ("get", "/api/vin"): "take in",
    ("post", "/api/vin-photo"): "take in",
    ("get", "/api/visits"): "see visits",
    ("get", "/api/visits/{visit_id}"): "see visits",
    ("put", "/api/visits/{visit_id}"): "take in",
    ("get", "/api/visits/{visit_id}/answer"): "see visits",
    ("get", "/api/visits/{visit_id}/comparison"): "see visits",
    ("get", "/api/visits/{visit_id}/consequences"): "see visits",
    ("delete", "/api/visits/{visit_id}/customer"): "erase a person",
    ("post", "/api/visits/{visit_id}/decisions"): "decide",
    ("get", "/api/visits/{visit_id}/handover"): "hand over",
    ("get", "/api/visits/{visit_id}/judgement"): "see visits",
    ("get", "/api/visits/{visit_id}/lift-points"): "see visits",
    ("put", "/api/visits/{visit_id}/lift-points/{observation_id}"): "record",
    ("get", "/api/visits/{visit_id}/next-check"): "see visits",
    ("get", "/api/visits/{visit_id}/observations"): "see visits",
    ("put", "/api/visits/{visit_id}/observations/{observation_id}"): "record",
    ("put", "/api/visits/{visit_id}/clips/{clip_id}"): "record",
    ("get", "/api/visits/{visit_id}/clips/{clip_id}"): "see visits",
    ("get", "/api/visits/{visit_id}/photos"): "see visits",
    ("put", "/api/visits/{visit_id}/photos/{photo_id}"): "record",
    ("get", "/api/visits/{visit_id}/photos/{photo_id}"): "see visits",
    ("delete", "/api/visits/{visit_id}/photos/{photo_id}"): "erase a person",
    ("get", "/api/visits/{visit_id}/photos/{photo_id}/small"): "see visits",
    ("get", "/api/visits/{visit_id}/plan"): "see visits",
    ("get", "/api/visits/{visit_id}/sign-off"): "see visits",
    ("get", "/api/visits/{visit_id}/supports"): "see visits",
    ("post", "/api/visits/{visit_id}/sign-off"): "sign off",
    ("put", "/api/visits/{visit_id}/skips/{observation_id}"): "record",
    ("put", "/api/visits/{visit_id}/withdrawals/{observation_id}"): "undo",
}
"""What each address asks a role for; None: it answers whoever is signed in."""


NOT_ASKED = [ignored_auth, positive_data_acceptance, response_headers_conformance]
"""Keys are asked below; a description tells forms alone, not which vehicles there are; and the framework describes the
date of a file, which HTTP writes in its own way, as one of ISO 8601."""


@dataclass(frozen=True)
class Shop:
    """A shop with a visit and its photo, the keys of its people, and the description that it gives of its API."""

    app: Litestar
    keys: dict[Role, str]
    visit: str
    photo: str
    described: Any

    def operation(self, method: str, path: str) -> Any:
        """An address of the description."""
        return self.described[path][method.upper()]

    def ids(self, case: Any) -> dict[str, str]:
        """Ids for an address: those that are known to be read, new ones to be written."""
        new = {name: time_ordered_id() for name in case.path_parameters or {}}
        known = {"visit_id": self.visit, "photo_id": self.photo}
        if case.method.upper() in ("PUT", "DELETE"):
            known = {"visit_id": self.visit} if len(new) > 1 else {}
        return new | {name: id_ for name, id_ in known.items() if name in new}

    def rows(self) -> dict[str, int]:
        """How many rows each table has."""
        with self.app.state.store.reading() as session:
            tables = Base.metadata.sorted_tables
            return {table.name: session.scalar(select(func.count()).select_from(table)) or 0 for table in tables}


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """One shop for all that is asked here."""
    folder: Path = tmp_path_factory.mktemp("asked")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LOOSEENDS_CACHE", str(folder / "tables"))
        app = shop(folder, shop_records(folder / "of-the-cast.sqlite"))
        with signed_in(app, "technician") as client:
            visit, photo = taken_in(client, plate="SLIP 41", complaint="wanders"), time_ordered_id()
            assert put_photo(client, visit, photo) == 200
        keys = {}
        with app.state.store.writing() as session:
            for role in ROLES:
                account = account_named(session, NAMES[role])
                assert account is not None
                keys[role] = new_token(session, account.id, "asks everything")
        yield Shop(app, keys, visit, photo, schemathesis.openapi.from_asgi("/schema/openapi.json", app))


def with_key(key: str) -> dict[str, str]:
    return {"authorization": f"Bearer {key}"}


def everything(examples: int) -> Any:
    """The same examples in each run; a long run takes others."""
    return settings(
        max_examples=examples,
        deadline=None,
        database=None,
        derandomize="LOOSEENDS_FUZZ" not in os.environ,
        suppress_health_check=list(HealthCheck),
    )


def wrong_body(case: Any) -> bool:
    """Whether the body breaks the description; a word too many in the address is passed over."""
    body = case.meta.components.get(ParameterLocation.BODY)
    return body is not None and body.mode is GenerationMode.NEGATIVE


def test_the_description_names_what_is_asked_here(asked: Shop) -> None:
    named = {(found.ok().method, found.ok().path) for found in asked.described.get_all_operations()}
    assert named == set(ASKED)


@pytest.mark.parametrize(("method", "path"), ASKED)
@pytest.mark.parametrize("mode", list(GenerationMode), ids=lambda mode: mode.value)
def test_no_answer_breaks_and_each_is_as_described(asked: Shop, method: str, path: str, mode: GenerationMode) -> None:
    @everything(EXAMPLES)
    @given(case=asked.operation(method, path).as_strategy(generation_mode=mode), known=st.booleans())
    def ask(case: Any, known: bool) -> None:
        if known and mode is GenerationMode.POSITIVE:
            case.path_parameters = asked.ids(case)
        answer = case.call(headers=with_key(asked.keys["owner"]))
        left_out = NOT_ASKED if wrong_body(case) else [*NOT_ASKED, negative_data_rejection]
        case.validate_response(answer, excluded_checks=left_out)

    ask()


@pytest.mark.parametrize("role", ["learner", "office", None], ids=str)
def test_nothing_passes_a_role(asked: Shop, role: Role | None) -> None:
    before, refused = asked.rows(), 401 if role is None else 403
    headers = with_key("le_" + "x" * 43 if role is None else asked.keys[role])
    for address, action in ASKED.items():
        if role is not None and (not action or role in MEANT[action].split()):
            continue

        @everything(4)
        @given(case=asked.operation(*address).as_strategy())
        def ask(case: Any) -> None:
            case.path_parameters = asked.ids(case)
            assert case.call(headers=headers).status_code == refused, case

        ask()
    assert asked.rows() == before
