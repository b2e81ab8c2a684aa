"""The checks of sources and the reports about them, judged from the written files."""

from datetime import date, timedelta

from .readback import decayed

# from how many Ci a nuclide is of category 2: 10 CFR 37, App. A
CATEGORY_2 = {"Ir-192": 22, "Se-75": 54, "Co-60": 8.1}


def of_sort(maintenance, sort, source=None):
    """The records of a sort, of one source or of all, the earliest first."""
    rows = [r for r in maintenance.source_checks if r["type"] == sort
            and (source is None or source in r["sources"].split())]
    return sorted(rows, key=lambda r: r["on"])


def sources(maintenance):
    """{id: (row, day on which it came, day on which it left)} of the source assemblies."""
    left = {r["item"]: r["on"] for r in maintenance.withdrawals if r["transferred_to"]}
    return {i: (e, e["received_on"], left.get(i)) for i, e in maintenance.books.equipment.items()
            if e["type"] == "source assembly"}


def next_workday(day):
    """The next day from Monday to Friday."""
    on = date.fromisoformat(day) + timedelta(days=1)
    while on.weekday() > 4:
        on += timedelta(days=1)
    return on.isoformat()


def weeks_missed(maintenance):
    """{(last look, next look)} more than seven days apart, of any source that was there."""
    out = set()
    for source, (_, came, left) in sources(maintenance).items():
        days = [r["on"] for r in of_sort(maintenance, "presence check", source)]
        days = sorted({max(came or "2025-03-01", "2025-03-01"), *days})
        for one, other in zip(days, days[1:] + [left or "2026-06-05"]):
            if (date.fromisoformat(other) - date.fromisoformat(one)).days > 7:
                out.add((one, other))
    return out


def surveyed_late(maintenance):
    """{(source, minutes beyond three hours)}; a source without a survey has none."""
    out = set()
    for source, (_, came, _) in sources(maintenance).items():
        if not came:
            continue
        done = [r for r in of_sort(maintenance, "receipt survey", source) if r["on"] == came]
        if not done:
            out.add((source, None))
            continue
        clock = [int(done[0][c][:2]) * 60 + int(done[0][c][3:]) for c in ("arrived", "at")]
        if clock[1] - clock[0] > 180:
            out.add((source, clock[1] - clock[0] - 180))
    return out


def reported_late(maintenance):
    """{(source, sort, day of the report)} of tracked sources, later than the next workday."""
    out = set()
    for source, (row, came, left) in sources(maintenance).items():
        for day, sort in ((came, "receipt report"), (left, "transfer report")):
            if day and decayed(row, day)[2] >= CATEGORY_2[row["nuclide"]]:
                days = [r["on"] for r in of_sort(maintenance, sort, source) if r["on"] >= day]
                first = min(days, default=None)
                if first is None or first > next_workday(day):
                    out.add((source, sort, first))
    return out


def unverified(maintenance):
    """Sources that left without a word on the licence of whoever has them now."""
    return {r["item"] for r in maintenance.withdrawals
            if r["transferred_to"] and not r["license_verified"]}
