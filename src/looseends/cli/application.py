"""The command `looseends`: its commands gathered, and what a refusal looks like."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence

import typer

from looseends.cli.checks import checks
from looseends.cli.compare import compare
from looseends.cli.demo import demo
from looseends.cli.detect import detect
from looseends.cli.handover import handover
from looseends.cli.judge import judge
from looseends.cli.learn import learn
from looseends.cli.ledger import ledger
from looseends.cli.next_check import next_check
from looseends.cli.parts import parts
from looseends.cli.prepare import prepare
from looseends.cli.records import backup, export, import_, restore
from looseends.cli.route import route
from looseends.cli.serve import serve
from looseends.cli.shake import shake
from looseends.cli.spoken_refusals import refused_in_its_language
from looseends.cli.tablets import tablets
from looseends.cli.vehicle_check import vehicle_check
from looseends.cli.vehicle_file import with_vehicle_file
from looseends.cli.vehicle_new import vehicle_new
from looseends.cli.vehicles import vehicles
from looseends.errors import InputError, LooseEndsError

FAILURE = 1
BAD_INPUT = 2

app = typer.Typer(
    name="looseends",
    help="Find every worn part of a vehicle's steering and suspension, prove it by the right check under the right "
    "support, judge it and hand it over. Lengths are in mm and forces in N; a clearance is the total travel that a "
    "gauge shows. The vehicle maker's procedure comes first.",
    epilog="Ends with 0 when done, 1 when it could not be done, 2 when something given is wrong.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"max_content_width": 100, "help_option_names": ["-h", "--help"]},
)
COMMANDS: dict[str, Callable[..., None]] = {
    "vehicles": vehicles,
    "parts": parts,
    "checks": checks,
    "shake": shake,
    "detect": detect,
    "route": route,
    "judge": judge,
    "ledger": ledger,
    "next": next_check,
    "handover": handover,
    "learn": learn,
    "compare": compare,
    "demo": demo,
    "prepare": prepare,
}
for name, command in COMMANDS.items():
    app.command(name)(with_vehicle_file(refused_in_its_language(command)))

APPLICATION: dict[str, Callable[..., None]] = {"serve": serve, "tablets": tablets}
for name, command in APPLICATION.items():
    app.command(name)(with_vehicle_file(command))

RECORDS: dict[str, Callable[..., None]] = {"backup": backup, "restore": restore, "export": export, "import": import_}
for name, command in RECORDS.items():
    app.command(name)(command)

OWN_VEHICLE: dict[str, Callable[..., None]] = {"new": vehicle_new, "check": vehicle_check}
own_vehicle = typer.Typer(no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False)
for name, command in OWN_VEHICLE.items():
    own_vehicle.command(name)(command)
app.add_typer(own_vehicle, name="vehicle", help="Make and check a vehicle file of your own, by tape measure.")


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command and leave with its exit code; `arguments` are those of the process if None.

    Raises
    ------
    SystemExit
        Always: 0 done, 1 failure, 2 bad input. A refusal is one sentence on standard error.
    """
    # One thread for linear algebra: on problems this small more of them only wait for each other. Set here, before the
    # commands load it.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        app(args=None if arguments is None else list(arguments), prog_name="looseends")
    except InputError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(BAD_INPUT)
    except LooseEndsError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(FAILURE)
