"""The records: visits, what was observed in them, judgements that were signed off; SQLite, or PostgreSQL by its URL."""

from looseends.store.backup import backup, restore
from looseends.store.clips import clip_bytes, keep_clip
from looseends.store.export import export_archive
from looseends.store.failures import StoreError
from looseends.store.ids import time_ordered_id
from looseends.store.keep import keep_account, keep_customer, keep_vehicle, open_visit, vehicle_text
from looseends.store.kept import Store, open_store
from looseends.store.observation import Observation
from looseends.store.personal import erase_customer
from looseends.store.photos import PhotoSent, keep_photo, photo_bytes
from looseends.store.rebuild import facts_of, visit_of
from looseends.store.record import Accepted, Receipt, Refused, record
from looseends.store.sign_off import decide, is_whole, judgement_of, rests_on_all, sign_off
from looseends.store.take_in import import_archive

__all__ = [
    "Accepted",
    "Observation",
    "PhotoSent",
    "Receipt",
    "Refused",
    "Store",
    "StoreError",
    "backup",
    "clip_bytes",
    "decide",
    "erase_customer",
    "export_archive",
    "facts_of",
    "import_archive",
    "is_whole",
    "judgement_of",
    "keep_account",
    "keep_clip",
    "keep_customer",
    "keep_photo",
    "keep_vehicle",
    "open_store",
    "open_visit",
    "photo_bytes",
    "record",
    "restore",
    "rests_on_all",
    "sign_off",
    "time_ordered_id",
    "vehicle_text",
    "visit_of",
]
