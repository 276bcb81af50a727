"""Everything goes through one file from either database into either; a damaged or spiteful file changes nothing."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from looseends.errors import InputError
from looseends.store import (
    Store,
    StoreError,
    backup,
    erase_customer,
    export_archive,
    import_archive,
    keep_clip,
    keep_photo,
    open_store,
    restore,
    visit_of,
)
from looseends.store.clips import clip_path
from looseends.store.models import Base, ClipRecord, PhotoRecord
from looseends.store.personal import erase_photo
from looseends.store.photos import photo_path
from looseends.store.upgrade import HEAD
from tests.store.films import film
from tests.store.made_records import CUSTOMER, VISIT, check, condition, fact, prepared, recorded, visit_in
from tests.store.pictures import camera_picture
from tests.store.test_photos import sent
from tests.store.test_sign_off import signed


def rows_of(store: Store) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table."""
    with store.reading() as session:
        return {
            table.name: sorted(map(tuple, session.execute(select(table))), key=str)
            for table in Base.metadata.sorted_tables
        }


@pytest.fixture
def filled(store: Store) -> Store:
    """A store with a row in every table but one, and a photo."""
    done = fact("check", check(), 1)
    recorded(prepared(store), done, fact("condition", condition(note='ñandú \u2028 "quoted"\n'), 2))
    recorded(store, fact("check", check("mended"), 3, supersedes=done.id))
    signed(store)
    with store.writing() as session:
        keep_photo(session, store.photos, sent(camera_picture()))
    return store


@pytest.fixture(params=["sqlite", "postgresql"])
def other(request: pytest.FixtureRequest, new_url: Callable[[str], str]) -> Iterator[Store]:
    """A second store, empty."""
    opened = open_store(new_url(request.param))
    yield opened
    opened.close()


def test_a_store_goes_into_another_and_again(filled: Store, other: Store, tmp_path: Path) -> None:
    file = tmp_path / "records.zip"
    export_archive(filled, file)
    taken = import_archive(other, file)
    assert (taken.there, taken.photos) == (0, 1)
    assert rows_of(other) == rows_of(filled)
    assert visit_in(other) == visit_in(filled)
    again = import_archive(other, file)
    assert (again.new, again.there) == (0, taken.new)
    assert rows_of(other) == rows_of(filled)
    export_archive(other, second := tmp_path / "again.zip")
    assert second.read_bytes() == file.read_bytes()


def test_an_archive_joins_what_is_there(filled: Store, other: Store, tmp_path: Path) -> None:
    recorded(prepared(other), fact("condition", condition("rack"), 9))
    export_archive(filled, file := tmp_path / "records.zip")
    import_archive(other, file)
    assert [seen.part for seen in visit_in(other).conditions] == ["idler-arm", "rack"]
    rows = rows_of(other)["observations"]
    assert sorted(row[1] for row in rows) == [1, 2, 3, 4]  # type: ignore[type-var]


def test_an_archive_that_contradicts_is_refused_whole(filled: Store, other: Store, tmp_path: Path) -> None:
    export_archive(filled, file := tmp_path / "records.zip")
    prepared(other)
    with other.writing() as session:
        session.execute(Base.metadata.tables["visits"].update().values(odometer_km=1.0))
    before = rows_of(other)
    with pytest.raises(
        InputError, match="visits visit-1 is stored already with another odometer_km; nothing was taken"
    ):
        import_archive(other, file)
    assert rows_of(other) == before


def test_a_clip_goes_along_and_what_was_erased_of_it_stays_erased(filled: Store, other: Store, tmp_path: Path) -> None:
    with filled.writing() as session:
        photo = keep_clip(session, filled.photos, sent(film()))
        kept = session.get_one(ClipRecord, photo.id)
    written = export_archive(filled, file := tmp_path / "records.zip")
    assert (written.photos, written.clips) == (1, 1)
    with zipfile.ZipFile(file) as archive:
        assert f"clips/{kept.sha256}.webm" in archive.namelist()
    taken = import_archive(other, file)
    assert (taken.photos, taken.clips, rows_of(other)) == (1, 1, rows_of(filled))
    assert clip_path(other.photos, kept).read_bytes() == clip_path(filled.photos, kept).read_bytes()
    erase_photo(other, photo.id)
    assert import_archive(other, file).new == 0
    assert not clip_path(other.photos, kept).exists()
    with other.reading() as session:
        assert session.get_one(ClipRecord, photo.id).sha256 == ""
    restore(other, file, replace=True)
    assert rows_of(other) == rows_of(filled)
    assert clip_path(other.photos, kept).is_file()


def test_who_was_erased_stays_erased(filled: Store, tmp_path: Path) -> None:
    export_archive(filled, file := tmp_path / "records.zip")
    erase_customer(filled, CUSTOMER)
    before = rows_of(filled)
    assert import_archive(filled, file).new == 0
    assert rows_of(filled) == before


def test_a_photo_that_was_erased_stays_erased(filled: Store, tmp_path: Path) -> None:
    file = tmp_path / "all.zip"
    export_archive(filled, file)
    with filled.reading() as session:
        (photo,) = session.scalars(select(PhotoRecord))
    erase_photo(filled, photo.id)
    import_archive(filled, file)
    assert not photo_path(filled.photos, photo.sha256).exists()
    with filled.reading() as session:
        assert [stub.sha256 for stub in session.scalars(select(PhotoRecord))] == [""]


def test_a_backup_brings_everything_back(filled: Store, tmp_path: Path) -> None:
    file, before = tmp_path / "backup.zip", rows_of(filled)
    with filled.reading() as somebody_reads:
        visit_of(somebody_reads, VISIT)
        written = backup(filled, file)
    assert (written.visits, written.observations, written.photos) == (1, 3, 1)
    recorded(filled, fact("condition", condition("rack"), 9))
    with filled.reading() as session:
        (photo,) = session.scalars(select(PhotoRecord))
    path = photo_path(filled.photos, photo.sha256)
    path.unlink()
    with pytest.raises(InputError, match=r"holds records: say --replace"):
        restore(filled, file)
    restore(filled, file, replace=True)
    assert rows_of(filled) == before
    assert path.is_file()
    with pytest.raises(InputError, match=r"is there already: name another file, or say --replace\.$"):
        backup(filled, file)
    with filled.reading() as session:
        assert session.connection().exec_driver_sql("SELECT 1").scalar() == 1
    assert [found.name for found in tmp_path.iterdir() if found.name.startswith(".new-")] == []


def test_an_archive_of_records_can_be_restored(filled: Store, other: Store, tmp_path: Path) -> None:
    export_archive(filled, file := tmp_path / "records.zip")
    recorded(prepared(other), fact("condition", condition("rack")))
    restore(other, file, replace=True)
    assert rows_of(other) == rows_of(filled)


def older(content: dict[str, bytes]) -> None:
    """The archive as the first version wrote it, before accounts had keys and could be closed, and before clips."""
    content.pop("tables/access_tokens.jsonl")
    content.pop("tables/clips.jsonl")
    accounts = [json.loads(line) for line in content["tables/accounts.jsonl"].splitlines()]
    kept = [{name: value for name, value in account.items() if name != "closed_at"} for account in accounts]
    content["tables/accounts.jsonl"] = b"".join(json.dumps(account).encode() + b"\n" for account in kept)
    replaced("manifest.json", f'"form": "{HEAD}"'.encode(), b'"form": "0001"')(content)


def test_an_archive_of_an_older_form_is_taken_in_and_restored(filled: Store, other: Store, tmp_path: Path) -> None:
    export_archive(filled, file := tmp_path / "records.zip")
    old = repacked(file, older, honest=True)
    import_archive(other, old)
    assert rows_of(other) == rows_of(filled)
    restore(other, old, replace=True)
    assert rows_of(other) == rows_of(filled)
    with pytest.raises(InputError, match="its tables are not those of its form 0001"):
        import_archive(other, repacked(file, replaced("manifest.json", f'"{HEAD}"'.encode(), b'"0001"')))


def test_a_lost_photo_stops_a_backup_and_leaves_no_file(filled: Store, tmp_path: Path) -> None:
    for path in filled.photos.rglob("*.jpg"):
        path.unlink()
    with pytest.raises(StoreError, match="is lost; bring it back from a backup"):
        backup(filled, tmp_path / "backup.zip")
    assert [found.name for found in tmp_path.iterdir() if found.suffix == ".zip" or ".new-" in found.name] == []


def repacked(file: Path, change: Callable[[dict[str, bytes]], None], *, honest: bool = False) -> Path:
    """The archive with other content; an honest one has checksums that fit."""
    with zipfile.ZipFile(file) as packed:
        content = {name: packed.read(name) for name in packed.namelist()}
    change(content)
    if honest:
        manifest = json.loads(content["manifest.json"])
        manifest["files"] = {
            name: {"bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
            for name, data in content.items()
            if name != "manifest.json"
        }
        content["manifest.json"] = json.dumps(manifest).encode()
    out = file.with_name("changed.zip")
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in content.items():
            packed.writestr(name, data)
    return out


def replaced(name: str, old: bytes, new: bytes) -> Callable[[dict[str, bytes]], None]:
    """Changes bytes of one entry."""

    def change(content: dict[str, bytes]) -> None:
        assert old in content[name]
        content[name] = content[name].replace(old, new)

    return change


def added(name: str, data: bytes) -> Callable[[dict[str, bytes]], None]:
    """Adds an entry, or puts another content into it."""
    return lambda content: content.update({name: data})


OBSERVATIONS = "tables/observations.jsonl"
DAMAGE: dict[str, tuple[Callable[[dict[str, bytes]], None], bool, str]] = {
    "a byte": (replaced(OBSERVATIONS, b"mended", b"mendeD"), False, "has not the content that its manifest tells"),
    "a payload": (replaced(OBSERVATIONS, b"mended", b"mendeD"), True, "sha256 must be that of the content"),
    "a judgement": (replaced("tables/judgements.jsonl", b"unsafe", b"sound_"), True, "sha256 must be that of the"),
    "a table less": (
        lambda content: content.pop("tables/visits.jsonl") and None,
        True,
        "its tables are not those of its form",
    ),
    "an entry more": (added("notes.txt", b"x"), False, "its entries are not those that its manifest lists"),
    "a way out": (added("../../evil.txt", b"x"), True, r"found an entry '\.\./\.\./evil\.txt'"),
    "no manifest": (lambda content: content.pop("manifest.json") and None, False, "it has no manifest.json"),
    "another version": (
        replaced("manifest.json", b'"version": 1', b'"version": 2'),
        False,
        "version must be 1, found 2",
    ),
    "another format": (replaced("manifest.json", b"looseends-archive", b"boats"), False, "is of something else"),
    "no JSON": (added("manifest.json", b"{" * 1_000), False, "its manifest.json is not JSON"),
    "a form to come": (
        replaced("manifest.json", f'"{HEAD}"'.encode(), b'"9999"'),
        False,
        'was written by a newer version, found its form "9999": use that version',
    ),
    "another kind": (replaced("tables/visits.jsonl", b"81200.0", b'"far"'), True, "odometer_km must be of kind float"),
    "another column": (replaced("tables/visits.jsonl", b"place", b"palce"), True, "must hold the columns"),
    "half a line": (added("tables/visits.jsonl", b'{"id":'), True, "must be a line of JSON"),
    "a lost visit": (added("tables/visits.jsonl", b""), True, "a row names what is nowhere"),
    "another photo": (added(f"photos/{'a' * 64}.jpg", b"x"), True, f"photo {'a' * 64} is another one"),
    "another clip": (added(f"clips/{'a' * 64}.mp4", b"x"), True, f"clip {'a' * 64} is another one"),
    "a clip of another kind": (added(f"clips/{'a' * 64}.exe", b"x"), True, "found an entry 'clips/"),
    "a bomb": (added(OBSERVATIONS, bytes(50_000_000)), False, "unpacks to 50000000 bytes, too many"),
    "a large photo": (added(f"photos/{'a' * 64}.jpg", bytes(range(256)) * 100_000), True, "bytes, too many"),
}


@pytest.mark.parametrize("database", ["sqlite", "postgresql"])
def test_a_damaged_archive_is_refused_in_a_sentence_and_changes_nothing(
    database: str, new_url: Callable[[str], str], tmp_path: Path
) -> None:
    source, target = open_store(new_url("sqlite")), open_store(new_url(database))
    done = fact("check", check("mended"), 1)
    recorded(prepared(source), done)
    signed(source)
    export_archive(source, file := tmp_path / "records.zip")
    for name, (change, honest, words) in DAMAGE.items():
        with pytest.raises(InputError, match=words) as refused:
            import_archive(target, repacked(file, change, honest=honest))
        assert "\n" not in str(refused.value), name
        assert not any(rows_of(target).values()), name
    assert not list(tmp_path.rglob("evil.txt"))
    assert import_archive(target, file).new > 0
    source.close()
    target.close()


def test_an_archive_cut_anywhere_is_refused(filled: Store, new_url: Callable[[str], str], tmp_path: Path) -> None:
    export_archive(filled, file := tmp_path / "records.zip")
    content, cut, target = file.read_bytes(), tmp_path / "cut.zip", open_store(new_url("sqlite"))
    for length in range(0, len(content), 97):
        cut.write_bytes(content[:length])
        with pytest.raises(InputError, match="is damaged or no archive of Loose Ends"):
            import_archive(target, cut)
    flipped = bytearray(content)
    for place in range(0, len(content), 211):
        flipped[place] ^= 0xFF
    cut.write_bytes(flipped)
    with pytest.raises(InputError):
        import_archive(target, cut)
    assert not any(rows_of(target).values())
    target.close()


def test_an_entry_that_lies_about_its_size_is_refused(tmp_path: Path, new_url: Callable[[str], str]) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("manifest.json", b"[" + b"1," * 400_000 + b"1]")
    lying = out.getvalue().replace((800_003).to_bytes(4, "little"), (10).to_bytes(4, "little"))
    (tmp_path / "lie.zip").write_bytes(lying)
    store = open_store(new_url("sqlite"))
    with pytest.raises(InputError, match=r"lie\.zip is "):
        import_archive(store, tmp_path / "lie.zip")
    store.close()


def test_what_is_not_there_is_refused(tmp_path: Path, new_url: Callable[[str], str]) -> None:
    store = open_store(new_url("sqlite"))
    with pytest.raises(InputError, match=r"none\.zip does not exist: name an archive that is there\.$"):
        import_archive(store, tmp_path / "none.zip")
    with pytest.raises(InputError, match=r"is a folder: name an archive\.$"):
        restore(store, tmp_path)
    store.close()
