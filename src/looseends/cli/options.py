"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from looseends.language import LANGUAGES, UNITS, Language, Units

VehicleId = Annotated[
    str,
    typer.Argument(metavar="VEHICLE", help='Id of the vehicle, such as yard-pickup; "looseends vehicles" lists them.'),
]
VisitFile = Annotated[
    Path,
    typer.Argument(metavar="VISIT", help="File that records the visit; docs/visit-file.md tells how to write one."),
]
LanguageChoice = Annotated[
    Language,
    typer.Option(
        "--language",
        metavar="|".join(LANGUAGES),
        envvar="LOOSEENDS_LANGUAGE",
        help="Language of what is said, English or Spanish; JSON stays English.",
    ),
]
UnitsChoice = Annotated[
    Units,
    typer.Option(
        "--units",
        metavar="|".join(UNITS),
        envvar="LOOSEENDS_UNITS",
        help="Units of what is said: mm, N, km, or in, lbf, miles; JSON stays metric.",
    ),
]
PolicyFile = Annotated[
    Path | None,
    typer.Option(
        "--policy",
        metavar="FILE",
        envvar="LOOSEENDS_POLICY",
        help="The shop's own policy: what it changes of the one that ships; docs/policy.md tells what it may hold.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for another program instead of text.")]
Directory = Annotated[
    Path,
    typer.Option("-o", "--output", metavar="DIR", help="Directory for the page and the PDF; made if it is not there."),
]
Replace = Annotated[
    bool, typer.Option("--replace", help="Overwrite an earlier handover of the same visit that says something else.")
]
