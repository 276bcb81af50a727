"""The application: pages, the HTTP API, and what stands before both."""

from __future__ import annotations

from litestar import Litestar, Router
from litestar.config.compression import CompressionConfig
from litestar.exceptions import HTTPException
from litestar.logging import LoggingConfig
from litestar.openapi.config import OpenAPIConfig
from litestar.openapi.plugins import JsonRenderPlugin
from litestar.openapi.spec import Components, SecurityScheme
from litestar.static_files import create_static_files_router
from litestar.stores.file import FileStore
from litestar.stores.memory import MemoryStore
from litestar.stores.registry import StoreRegistry
from litestar.types import ControllerRouterHandler

from looseends.diagnosis import default_store
from looseends.diagnosis.shop import load_shop
from looseends.errors import InputError, LooseEndsError
from looseends.store.kept import open_store
from looseends.web.accounts.one_time import OneTimeLinks
from looseends.web.accounts.sessions import form_tokens, session_config
from looseends.web.accounts.signed import WhoAsks
from looseends.web.answering.failures import EXCEPTION_HANDLERS
from looseends.web.answering.headers import security_headers
from looseends.web.answering.rendering import FONTS, STATIC, static_mark, template_config
from looseends.web.api import API_HANDLERS
from looseends.web.api.clips import AS_IT_IS
from looseends.web.bay.route_order import RouteOrder
from looseends.web.judged.judging import Judging
from looseends.web.judged.preparing import Preparing
from looseends.web.own.keeping import bring_back
from looseends.web.own.told import Sharpest
from looseends.web.pages import PAGE_HANDLERS
from looseends.web.settings import Settings

MOST_BODY_BYTES = 2_000_000
"""A form or a record is kilobytes; what takes photos sets its own limit."""

_EXPECTED: set[int | type[Exception]] = {
    400,
    401,
    403,
    404,
    405,
    413,
    422,
    429,
    HTTPException,
    LooseEndsError,
    InputError,
}
"""What is answered with a sentence, and is nobody's fault in the program."""

_OPEN = {"skip_session": True, "exclude_from_auth": True, "exclude_from_csrf": True}


def create_app(settings: Settings) -> Litestar:
    """The application over one store.

    `app.state` holds `settings`, `store`, `judging`, `preparing`, `links` and `sharpest` for handlers.

    Raises
    ------
    InputError
        If the store or the data folder cannot be used, or the shop's policy or what it learned is not as it should be.
    StoreError
        If the database does not answer.
    """
    shop = load_shop(settings.policy)
    store = open_store(settings.store)
    bring_back(store)
    preparing = Preparing(default_store())
    app = Litestar(
        route_handlers=[
            _static("/static", STATIC),
            _static(f"/static/{static_mark()}", STATIC),
            _static("/fonts", FONTS),
            Router("/", route_handlers=PAGE_HANDLERS, include_in_schema=False),
            Router("/api", route_handlers=API_HANDLERS),
        ],
        middleware=[
            session_config(secure=settings.secure).middleware,
            WhoAsks,
            form_tokens(settings.secret(), secure=settings.secure),
        ],
        stores=_stores(settings),
        template_config=template_config(),
        exception_handlers=EXCEPTION_HANDLERS,
        before_send=[security_headers(secure=settings.secure)],
        compression_config=CompressionConfig(backend="gzip", gzip_compress_level=6, exclude_opt_key=AS_IT_IS),
        logging_config=LoggingConfig(
            log_exceptions="always",
            root={"level": "WARNING", "handlers": ["queue_listener"]},
            disable_stack_trace=_EXPECTED,
        ),
        openapi_config=_openapi(),
        request_max_body_size=MOST_BODY_BYTES,
        on_shutdown=[preparing.stop, store.close],
    )
    app.state.update(
        settings=settings,
        store=store,
        preparing=preparing,
        judging=Judging(preparing, shop),
        routes=RouteOrder(preparing, shop),
        links=OneTimeLinks(),
        sharpest=Sharpest(),
    )
    return app


def _static(path: str, folder: object) -> ControllerRouterHandler:
    return create_static_files_router(
        path=path, directories=[str(folder)], opt=_OPEN, include_in_schema=False, cache_control=None, name=path
    )


def _stores(settings: Settings) -> StoreRegistry:
    """Sessions outlive a restart, except those of the demo; tries to sign in are counted in memory."""
    if settings.demo:
        return StoreRegistry(stores={"sessions": MemoryStore(), "rate_limit": MemoryStore()})
    sessions = FileStore(settings.data / "sessions", create_directories=True)
    return StoreRegistry(stores={"sessions": sessions, "rate_limit": MemoryStore()})


def _openapi() -> OpenAPIConfig:
    # JSON alone: the readers that the framework could add fetch their scripts from outside
    return OpenAPIConfig(
        title="Loose Ends",
        version="1",
        description="What screens do, for other programs. Lengths in mm, forces in N. A key is made on one's own page.",
        path="/schema",
        render_plugins=[JsonRenderPlugin()],
        components=Components(
            security_schemes={"key": SecurityScheme(type="http", scheme="bearer", description="A key of an account")}
        ),
        security=[{"key": []}],
    )
