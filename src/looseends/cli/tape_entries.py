"""The VIN that a person enters about a vehicle of their own, whether in a file or on the terminal."""

from __future__ import annotations

import sys
from collections.abc import Mapping

from looseends.errors import InputError


def remarks_on_vin(given: Mapping[str, object]) -> dict[str, object]:
    """The answers without a VIN that is none; what is wrong with it is said on standard error."""
    from looseends.vehicle.vin import read_vin  # numpy: --help need not wait for it

    kept = dict(given)
    if "vin" not in kept:
        return kept
    try:
        vin = read_vin(str(kept["vin"]), "vin")
    except InputError as error:
        sys.stderr.write(f"{error} It was left out.\n")
        del kept["vin"]
        return kept
    for remark in vin.remarks:
        sys.stderr.write(f"{remark}\n")
    return kept | {"vin": vin.text}
