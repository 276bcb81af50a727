"""`looseends learn`: how far the model is off a shop's own sound vehicles."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from looseends.cli.options import AsJson, LanguageChoice
from looseends.cli.output import console, print_json
from looseends.cli.progress import progress_shown
from looseends.errors import InputError
from looseends.language import Length, Number, Speech, say

Visits = Annotated[
    list[Path], typer.Argument(metavar="VISIT...", help="Files of visits in which nothing was worn, gauges used.")
]
ShopFile = Annotated[Path, typer.Option("-o", "--output", metavar="FILE", help="Where to write the shop's file.")]


def learn(
    visits: Visits, output: ShopFile = Path("shop.toml"), language: LanguageChoice = "en", as_json: AsJson = False
) -> None:
    """Learn from sound vehicles how far readings stray.

    Give visits in which every part turned out sound. The more vehicles, the less the figures that ship count. The file
    that is written is taken into account by every command and the application once LOOSEENDS_SHOP names it.
    """
    # numpy and scipy: --help need not wait for them.
    from looseends.cli.judged_visit import recorded_visit
    from looseends.diagnosis import default_store
    from looseends.diagnosis.beliefs import load_beliefs
    from looseends.diagnosis.inference.diagnose import diagnose
    from looseends.diagnosis.observed.learned import learned, shop_text
    from looseends.vehicle.loading import load_vehicles

    if output.exists():
        raise InputError(f"{output.name}: a file of that name is there already; give another with -o.")
    clues = []
    with progress_shown() as report:
        for file in visits:
            visit = recorded_visit(file)
            vehicle = load_vehicles()[visit.vehicle]
            clues.append(diagnose(visit, vehicle, store=default_store(), progress=report, usual=False).clues)
    found = learned(clues, load_beliefs())
    if not found.readings:
        raise InputError("looseends learn: at least one gauge reading must be in the visits, found none.")
    output.write_text(shop_text(found), encoding="utf-8")
    if as_json:
        print_json(found)
        return
    said = say(
        "From {readings} gauge readings of {vehicles} vehicles: softness factor {softness}, floor {floor}. Errors were "
        "{before} of what was expected, and are {after} now.",
        readings=Number(found.readings, 0),
        vehicles=Number(found.vehicles, 0),
        softness=Number(found.shared_softness, 2),
        floor=Length(found.floor_mm, 3),
        before=Number(found.off_before, 2),
        after=Number(found.off_after, 2),
    )
    console().print(Speech(language).words(said))
    console().print(Speech(language).words(say("Written to {file}.", file=str(output))))
