"""One file that holds a store: a zip with a manifest, written whole and read only after all of it has been checked."""

from __future__ import annotations

import hashlib
import json
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Literal

from looseends.errors import InputError
from looseends.language import refusal
from looseends.store.picture import MOST_BYTES
from looseends.store.safe_files import written_whole

FORMAT = "looseends-archive"
VERSION = 1
MANIFEST = "manifest.json"
SNAPSHOT = "records.sqlite"
Kind = Literal["records", "snapshot"]

MOST_MANIFEST_BYTES = 64_000_000
_LINE_OF_MANIFEST_BYTES = 400
"""What a manifest says of one entry is shorter; it is read as a whole."""

MOST_TOTAL_BYTES = 64_000_000_000
MOST_FOLD = 200
"""Records pack 5 to 30 times smaller; what unpacks to more than this is no archive of ours."""

_TABLE_NAME = re.compile(r"tables/([a-z_]+)\.jsonl")
_PICTURE_NAME = re.compile(r"(?:photos/(?=.{64}\.jpg)|clips/(?=.{64}\.(?:mp4|webm)))([0-9a-f]{64})\.([a-z0-9]+)")
"""A photo, or the film of a clip, by its checksum."""

_PIECE_BYTES = 1 << 20
_SMALL_BYTES = 1_000_000
_ENCRYPTED = 0x1


class Writing:
    """An archive on its way; each entry's size and checksum go into the manifest, which comes last."""

    def __init__(self, packed: zipfile.ZipFile, kind: Kind, form: str) -> None:
        self._packed = packed
        self._manifest: dict[str, Any] = {"format": FORMAT, "version": VERSION, "kind": kind, "form": form}
        self._files: dict[str, dict[str, object]] = {}

    def add(self, name: str, pieces: Iterator[bytes], *, packed: bool) -> None:
        """Write an entry; photos, clips and snapshots are not packed."""
        size, digest = 0, hashlib.sha256()
        entry = zipfile.ZipInfo(name)  # the zip's own date stays at its first day, so equal content gives equal bytes
        entry.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        with self._packed.open(entry, "w", force_zip64=True) as out:
            for piece in pieces:
                out.write(piece)
                digest.update(piece)
                size += len(piece)
        self._files[name] = {"bytes": size, "sha256": digest.hexdigest()}

    def finish(self) -> None:
        """Write the manifest."""
        content = json.dumps({**self._manifest, "files": self._files}, indent=1).encode()
        entry = zipfile.ZipInfo(MANIFEST)
        entry.compress_type = zipfile.ZIP_DEFLATED
        self._packed.writestr(entry, content)


@contextmanager
def archive_written(path: Path, kind: Kind, form: str) -> Iterator[Writing]:
    """An archive to add entries to; `path` holds it when all is on the disk. `form` is the migration of its tables.

    Raises
    ------
    StoreError
        If the disk is full.
    """
    with written_whole(path) as file, zipfile.ZipFile(file, "w", allowZip64=True) as packed:
        writing = Writing(packed, kind, form)
        yield writing
        writing.finish()


@dataclass(frozen=True)
class PictureEntry:
    """A photo or a clip in an archive: the entry's name, the checksum in it, and the ending."""

    name: str
    checksum: str
    ending: str

    @property
    def is_clip(self) -> bool:
        """Whether it moves."""
        return self.ending != "jpg"


@dataclass(frozen=True)
class Archive:
    """An archive whose every byte has been checked against its manifest."""

    name: str
    kind: Kind
    form: str
    packed: zipfile.ZipFile

    def tables(self) -> tuple[str, ...]:
        """Names of the tables in it."""
        return tuple(found[1] for name in self.packed.namelist() if (found := _TABLE_NAME.fullmatch(name)))

    def pictures(self) -> tuple[PictureEntry, ...]:
        """The photos and clips in it."""
        names = self.packed.namelist()
        return tuple(
            PictureEntry(name, found[1], found[2]) for name in names if (found := _PICTURE_NAME.fullmatch(name))
        )

    def open(self, name: str) -> IO[bytes]:
        """An entry to read from."""
        return self.packed.open(name)


@contextmanager
def archive_read(path: Path) -> Iterator[Archive]:
    """The archive in a file, after sizes and checksums of all entries have been found right.

    Raises
    ------
    InputError
        In one sentence, if the file is not there, no archive, damaged, of a newer version, or unpacks to too much.
    """
    try:
        with zipfile.ZipFile(path) as packed:
            yield _checked(packed, path)
    except FileNotFoundError as error:
        raise InputError(refusal("{path} does not exist: name an archive that is there.", path=path)) from error
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as error:
        raise InputError(
            refusal("{path} is damaged or no archive of Loose Ends: take another copy of it.", path=path)
        ) from error
    except IsADirectoryError as error:
        raise InputError(refusal("{path} is a folder: name an archive.", path=path)) from error


def _checked(packed: zipfile.ZipFile, path: Path) -> Archive:
    entries = {entry.filename: entry for entry in packed.infolist()}
    _require_sizes(packed.infolist(), path)
    manifest = _manifest(packed, entries, path)
    files: dict[str, Any] = manifest["files"]
    if len(packed.infolist()) != len(entries) or set(entries) != set(files) | {MANIFEST}:
        raise InputError(refusal("{path} is damaged: its entries are not those that its manifest lists.", path=path))
    for name, told in files.items():
        if not (_TABLE_NAME.fullmatch(name) or _PICTURE_NAME.fullmatch(name) or name == SNAPSHOT):
            raise InputError(
                refusal("{path} is no archive of Loose Ends: found an entry {name}.", path=path, name=repr(name))
            )
        _require_content(packed, entries[name], told, path)
    return Archive(str(path), manifest["kind"], manifest["form"], packed)


def _require_sizes(entries: list[zipfile.ZipInfo], path: Path) -> None:
    """Refuse by the sizes that the zip declares, before anything is unpacked."""
    if sum(entry.compress_size for entry in entries) > path.stat().st_size:
        raise InputError(refusal("{path} is refused: its entries overlap.", path=path))
    if sum(entry.file_size for entry in entries) > MOST_TOTAL_BYTES:
        raise InputError(
            refusal("{path} is refused: it unpacks to more than {most} bytes.", path=path, most=MOST_TOTAL_BYTES)
        )
    for entry in entries:
        if entry.header_offset < 0:  # what was cut off at its beginning puts entries before the first byte
            raise InputError(
                refusal("{path} is damaged or no archive of Loose Ends: take another copy of it.", path=path)
            )
        if entry.flag_bits & _ENCRYPTED:
            raise InputError(refusal("{path} is refused: {entry} is encrypted.", path=path, entry=repr(entry.filename)))
        if entry.file_size > max(_SMALL_BYTES, MOST_FOLD * entry.compress_size):
            raise InputError(
                refusal(
                    "{path} is refused: {entry} unpacks to {size} bytes, too many.",
                    path=path,
                    entry=repr(entry.filename),
                    size=entry.file_size,
                )
            )
        of_entries = min(MOST_MANIFEST_BYTES, _LINE_OF_MANIFEST_BYTES * (len(entries) + 2))
        most = of_entries if entry.filename == MANIFEST else MOST_TOTAL_BYTES
        if entry.file_size > (MOST_BYTES if _PICTURE_NAME.fullmatch(entry.filename) else most):
            raise InputError(
                refusal(
                    "{path} is refused: {entry} unpacks to {size} bytes, too many.",
                    path=path,
                    entry=repr(entry.filename),
                    size=entry.file_size,
                )
            )


def _manifest(packed: zipfile.ZipFile, entries: dict[str, zipfile.ZipInfo], path: Path) -> dict[str, Any]:
    if MANIFEST not in entries:
        raise InputError(
            refusal("{path} is no archive of Loose Ends: it has no {manifest}.", path=path, manifest=MANIFEST)
        )
    try:
        manifest = json.loads(b"".join(_pieces(packed, entries[MANIFEST])))
    except (ValueError, RecursionError) as error:
        raise InputError(
            refusal("{path} is damaged: its {manifest} is not JSON.", path=path, manifest=MANIFEST)
        ) from error
    if (
        not isinstance(manifest, dict)
        or manifest.get("format") != FORMAT
        or not isinstance(manifest.get("files"), dict)
    ):
        raise InputError(
            refusal(
                "{path} is no archive of Loose Ends: its {manifest} is of something else.", path=path, manifest=MANIFEST
            )
        )
    if manifest.get("version") != VERSION:
        raise InputError(
            refusal(
                "{path}: version must be {accepted}, found {found}; use the program it is of.",
                path=path,
                accepted=VERSION,
                found=manifest.get("version"),
            )
        )
    if manifest.get("kind") not in ("records", "snapshot") or not isinstance(manifest.get("form"), str):
        raise InputError(
            refusal("{path} is damaged: its {manifest} does not say what it holds.", path=path, manifest=MANIFEST)
        )
    return manifest


def _require_content(packed: zipfile.ZipFile, entry: zipfile.ZipInfo, told: object, path: Path) -> None:
    digest, size = hashlib.sha256(), 0
    for piece in _pieces(packed, entry):
        digest.update(piece)
        size += len(piece)
    if told != {"bytes": size, "sha256": digest.hexdigest()}:
        raise InputError(
            refusal(
                "{path} is damaged: {entry} has not the content that its manifest tells.",
                path=path,
                entry=repr(entry.filename),
            )
        )


def _pieces(packed: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    """The content piece by piece; zipfile unpacks no more than was declared, and refuses by the CRC what went on."""
    with packed.open(entry) as file:
        while piece := file.read(_PIECE_BYTES):
            yield piece
