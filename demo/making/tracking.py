"""The dated checks of sources and the reports about them: surveys on receipt, presence checks,
reports and the yearly reconciliation, shipping papers, looks at the controls."""

from datetime import date, timedelta

from . import company

HEAD = "type,sources,on,performed_by,at,arrived,reference,place".split(",")
STORE = "Tallgrass Junction yard, source store (invented)"
RSO, DESIGNEE = company.NAME["W01"], company.NAME["W02"]

# the presence check is made each Monday; that of this day was forgotten
MISSED = date(2025, 11, 24)
# near miss: a Monday off, so that the check is made on the Friday before and the Friday after
MOVED = {date(2026, 5, 25): [date(2026, 5, 22), date(2026, 5, 29)]}
# the package that stood for longer than three hours, and the report that came a day too late
SURVEYED_LATE = "SA-11"
REPORTED_LATE = "SA-14"
# the transfer that was reported when somebody missed its number, and the one for which nobody
# looked at the licence
FOUND_LATE = ("SA-13", date(2026, 1, 26))
NOT_VERIFIED = "SA-12"
RECONCILED = date(2026, 1, 9)
# activities from which a source is of category 2 alone, in Ci
CATEGORY_2 = {"Ir-192": 22, "Se-75": 54, "Co-60": 8.1}


def is_tracked(source, day):
    """Whether a source alone is of category 2 on a day."""
    nuclide, curies, reference = company.SOURCES[source]
    left = curies * 2 ** (-(day - reference).days / company.HALF_LIFE[nuclide])
    return left >= CATEGORY_2[nuclide]


def kept(day):
    """Sources that are there when a day begins, or come on it."""
    sources = [sid for sid, *_ in company.FIRST_SOURCES]
    for received, exchanged, new, old, _ in company.received_sources():
        if received <= day:
            sources.append(new)
        if exchanged < day:
            sources.remove(old)
    return sources


def row(sort, sources, day, by=DESIGNEE, **more):
    """One record."""
    cells = {"type": sort, "sources": " ".join(sources), "on": day.isoformat(), "performed_by": by} | more
    return (day, [cells.get(column, "") for column in HEAD])


def receipts():
    """Survey, place and report of each source that came, and the report of the one that left."""
    for received, exchanged, new, old, _ in company.received_sources():
        number = int(new[3:])
        at = "12:05" if new == SURVEYED_LATE else f"10:{10 + number}"
        yield row("receipt survey", [new], received, at=at, arrived="08:20",
                  reference=f"RS-{200 + number}")
        yield row("stored", [new], received, place=STORE)
        late = timedelta(days=1) if new == REPORTED_LATE else timedelta()
        # received on a Friday: the Monday is the last day in time
        if is_tracked(new, received):
            yield row("receipt report", [new], exchanged + late, reference=f"TS-{200 + number}")
        if is_tracked(old, exchanged):
            day = FOUND_LATE[1] if old == FOUND_LATE[0] else exchanged + timedelta(days=1)
            yield row("transfer report", [old], day, reference=f"TS-{300 + number}")


def rounds():
    """The presence checks of each week, and a look at the controls in the first of a month."""
    day = date(2025, 3, 3)
    while day <= company.TODAY:
        for on in MOVED.get(day, [day]):
            if on != MISSED:
                yield row("presence check", kept(on), on, at="07:05")
        if day.day <= 7:
            yield row("storage controls", kept(day), day, RSO)
            yield row("vehicle controls", kept(day), day, RSO)
        day += timedelta(days=7)


def papers(rows):
    """A shipping paper for each ride, as its sheet has it."""
    rides = {r["sheet"]: r for r in rows if r["work"] == "transport"}
    for number, ride in enumerate(sorted(rides.values(), key=lambda r: r["day"]), start=401):
        yield row("shipping paper", [ride["source"]], date.fromisoformat(ride["day"]),
                  reference=f"SP-{number}")


def put(office, rows):
    """A file a month, taken in on the first Monday after it; the last on the demo's eve."""
    first = [sid for sid, *_ in company.FIRST_SOURCES]
    found = [row("stored", first, date(2025, 3, 3), place=STORE),
             row("reconciliation", kept(RECONCILED), RECONCILED, reference="TS-2026")]
    found += [*receipts(), *rounds(), *papers(rows)]
    months = {}
    for day, cells in sorted(found, key=lambda one: (one[0], one[1])):
        month = min(first_monday(day), date(2026, 6, 4))
        months.setdefault(month, []).append(cells)
    for day, cells in sorted(months.items()):
        office.table(day, 23, DESIGNEE, ["equipment", "source-checks"],
                     f"equipment/source-checks-{day}.csv", HEAD, cells)


def first_monday(day):
    """The first Monday of the month after."""
    begin = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
    return begin + timedelta(days=-begin.weekday() % 7)
