"""What stands at the head of a route: its title, what it takes and proves, and the complaint that it was chosen for."""

from __future__ import annotations

from looseends.catalogue import load_catalogue
from looseends.diagnosis.observed.complaints import Suspicion
from looseends.diagnosis.observed.words import BY
from looseends.diagnosis.planning.route import Route
from looseends.language import Capital, Minutes, Number, Percent, Text, Value, joined, say, say_count
from looseends.report.wording import listed
from looseends.vehicle.vehicle import Vehicle

MAKER_FIRST = say(
    "The vehicle maker’s procedure, local codes and licensed practice come before anything printed here. Times are "
    "assumed until the own bay has been timed."
)


def route_title(route: Route, vehicle: Vehicle) -> Text:
    """The vehicle, the minutes at hand if there are any, and by what it is read."""
    name, by = Capital(vehicle.name), BY[route.by]
    if route.within is None:
        return say("{vehicle}: the whole route, {by}", vehicle=name, by=by)
    return say("{vehicle}: a route of {minutes}, {by}", vehicle=name, minutes=Minutes(route.within), by=by)


def route_summary(route: Route, vehicle: Vehicle, suspicion: Suspicion | None) -> list[Text]:
    """Sentences: what it takes and proves, how good it is, and how the complaint is taken that it was chosen for."""
    proven = sum(len(step.proves) for step in route.steps)
    said = [
        say_count(
            "{total} in all: {opening} for the lift points, {checks} for {count} check, {changes} to bring the "
            "vehicle from one support to the next.",
            "{total} in all: {opening} for the lift points, {checks} for {count} checks, {changes} to bring the "
            "vehicle from one support to the next.",
            len(route.steps),
            total=Minutes(route.minutes),
            opening=Number(route.opening.minutes),
            checks=Number(sum(step.minutes for step in route.steps)),
            changes=Number(sum(leg.minutes for leg in route.legs)),
        ),
        say_count(
            "A part is proven where a step shows its wear at the reject clearance {by} with a chance of {asked} or "
            "more. So proven, each by one step alone: {count} part.",
            "A part is proven where a step shows its wear at the reject clearance {by} with a chance of {asked} or "
            "more. So proven, each by one step alone: {count} parts.",
            proven,
            by=BY[route.by],
            asked=Percent(route.asked, down=True),
        ),
        _bound_words(route, suspicion),
    ]
    if route.by == "gauge":
        said.append(say("The minutes are those of the checks: setting a dial anew at every watch takes longer."))
    said += _complaint_words(suspicion, route, vehicle) if suspicion else []
    return [*said, MAKER_FIRST]


def _bound_words(route: Route, suspicion: Suspicion | None) -> Text:
    if route.within is None:
        return say(
            "Proven shortest: of all routes that prove these parts, and look at the others where they show best, none "
            "takes less than {bound}. (Checks, supports and minutes as the catalogue has them; each support is visited "
            "once.)",
            bound=Minutes(route.bound),
        )
    shares: dict[str, Value] = {
        "share": Percent(route.goal, down=True),
        "minutes": Minutes(route.within),
        "most": Percent(route.bound, down=True),
    }
    if suspicion is None:
        return say(
            "It proves {share} of what is likely worn by its kind alone; within {minutes} no route proves more than "
            "{most}.",
            **shares,
        )
    return say("It proves {share} of the suspicion; within {minutes} no route proves more than {most}.", **shares)


def _complaint_words(suspicion: Suspicion, route: Route, vehicle: Vehicle) -> list[Text]:
    meant = joined([say("“{words}”", words=words) for words in suspicion.complaints], "; ")
    said = [say("The complaint is taken as: {complaints}.", complaints=meant)]
    if suspicion.raised:
        names = listed([vehicle.parts[part].name for part in suspicion.raised])
        said.append(
            say("It makes these likelier, which is a hint where to look first and no finding: {parts}.", parts=names)
        )
    if suspicion.elsewhere:
        causes = joined(suspicion.elsewhere, "; ")
        said.append(
            say("It points also to what no clearance of this vehicle tells: {causes}. Look there too.", causes=causes)
        )
    done = {step.setup.check for step in route.steps}
    missing = [check for check in suspicion.checks if check not in done]
    if missing:
        names = listed([_check_name(check) for check in missing])
        said.append(say("By common practice it is decided by what is not in this route: {checks}.", checks=names))
    return said


def _check_name(check: str) -> str:
    found = load_catalogue().checks.get(check)
    return check.replace("-", " ") if found is None else found.name
