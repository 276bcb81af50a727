"""A TOML file from the disk, or one sentence that says why it cannot be read."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from looseends.errors import InputError
from looseends.inspection.plain_values import shown
from looseends.language import Text, refusal, say

MAX_BYTES = 1_000_000
# Python's TOML reader takes time with the cube of the parts of a dotted key; no line written by hand is this long.
MAX_LINE_CHARACTERS = 4_000

_LINE_IN_MESSAGE = re.compile(r" \(at line (\d+), column \d+\)$")
_DECIMAL_COMMA = re.compile(r"=\s*[-+]?\d+,\d")
_NUMBER_WITH_UNIT = re.compile(r"=\s*[-+]?\d+(\.\d+)?\s*(mm|cm|in|inch|inches|km|mi)\b")


def read_toml(path: Path) -> dict[str, Any]:
    """The top table of a TOML file in UTF-8, at most 1 MB.

    Raises
    ------
    InputError
        If the file is missing, a directory, too large, empty, binary, not UTF-8 or not complete TOML;
        where a line is at fault it is named.

    Source
    ------
    TOML 1.0.0, https://toml.io/en/v1.0.0
    """
    text = _text_of(path)
    _refuse_long_lines(path, text)
    try:
        values = tomllib.loads(text)
    except RecursionError as error:
        raise InputError(
            refusal("{file} has lists or tables nested too deeply to be a record.", file=named(path))
        ) from error
    except ValueError as error:  # TOMLDecodeError, and what int() and date() refuse
        raise InputError(_syntax_sentence(path, text, str(error))) from error
    if not values:
        raise InputError(
            refusal("{file} is empty: write the entries that docs/visit-file.md describes.", file=named(path))
        )
    return values


def named(path: Path) -> str:
    """The file's name as it stands in a sentence, without characters that a terminal would obey."""
    name = str(path)
    return name if name.isprintable() and name else shown(name)


def _text_of(path: Path) -> str:
    data = _bytes_of(path)
    if len(data) > MAX_BYTES:
        raise InputError(
            refusal(
                "{file} is larger than 1 MB: a record of one visit is a text file of a few kilobytes.", file=named(path)
            )
        )
    if b"\0" in data:
        raise InputError(
            refusal("{file} is not a text file: save the record as plain text in UTF-8.", file=named(path))
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(
            refusal(
                "{file}, line {line}: the text is not UTF-8, found byte 0x{data}; save the file with the "
                "encoding UTF-8.",
                file=named(path),
                line=line,
                data=f"{data[error.start]:02x}",
            )
        ) from error


def _bytes_of(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise InputError(refusal("{file} is a directory: name the visit file in it.", file=named(path)))
        if path.exists() and not path.is_file():
            raise InputError(refusal("{file} is not an ordinary file: name a text file.", file=named(path)))
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except FileNotFoundError as error:
        raise InputError(
            refusal("{file} does not exist: name a visit file that is there.", file=named(path))
        ) from error
    except OSError as error:
        raise InputError(
            refusal("{file} cannot be read: {reason}.", file=named(path), reason=error.strerror or error)
        ) from error
    except ValueError as error:  # a null character inside the name
        raise InputError(refusal("{file} is not a possible file name.", file=named(path))) from error


def _refuse_long_lines(path: Path, text: str) -> None:
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > MAX_LINE_CHARACTERS:
            raise InputError(
                refusal(
                    "{file}, line {number}: the line has {count} characters, at most {most} are accepted.",
                    file=named(path),
                    number=number,
                    count=len(line),
                    most=MAX_LINE_CHARACTERS,
                )
            )


def _syntax_sentence(path: Path, text: str, message: str) -> Text:
    lines = text.replace("\r\n", "\n").split("\n")
    found = _LINE_IN_MESSAGE.search(message)
    number = int(found.group(1)) if found else len(text.rstrip().split("\n"))
    reason = _LINE_IN_MESSAGE.sub("", message).removesuffix(" (at end of document)").rstrip(".")
    reason = reason if reason.isprintable() else "a control character"
    broken_off = message.endswith("(at end of document)")
    return refusal(
        "{file}, line {number}: {what} ({reason}){hint}.",
        file=named(path),
        number=number,
        what=say("the file breaks off here") if broken_off else say("this is not TOML"),
        reason=reason[:1].lower() + reason[1:200],
        hint=_hint(lines[number - 1]) if number <= len(lines) else "",
    )


def _hint(line: str) -> str:
    if _DECIMAL_COMMA.search(line):
        return say("; write numbers with a decimal point, as in 3.4")
    if _NUMBER_WITH_UNIT.search(line):
        return say("; write a plain number without its unit, the key names the unit")
    return ""
