"""Maintenance in the registers: parts fitted, leak tests, inventories, source exchanges, servicing."""

from datetime import date, timedelta

from . import company
from .dice import Dice

DESIGNEE = company.NAME["W02"]
LABORATORY = "Drip Tray Wipe Laboratory (invented)"
# the first day of the checklist: that of the round before the ledger's first sheet
LIST_FROM = date(2025, 2, 24)

PARTS_HEAD = "equipment,component,installed_on,performed_by,serial,lot".split(",")
LEAK_HEAD = "item,on,part,removable,performed_by,certificate".split(",")
INVENTORY_HEAD = "on,performed_by,found,note".split(",")
LOADS_HEAD = "device,source,on,performed_by".split(",")
SERVICES_HEAD = "instrument,on,type,what,performed_by".split(",")

# drive cables and their connectors when the ledger starts: day, number of the cable
CABLES = {"CU-01": (date(2024, 6, 3), 31), "CU-02": (date(2025, 2, 26), 38),
          "CU-03": (date(2024, 9, 9), 33), "CU-04": (date(2023, 3, 6), 27),
          "CU-05": (date(2024, 1, 15), 29), "CU-06": (date(2024, 8, 9), 32)}
# a new drive cable at the maintenance, and other parts
CABLE_EXCHANGED = ("CU-04", date(2025, 11, 1), 41)
LATER_PARTS = [
    ("CU-05", "crank", date(2025, 5, 8), "K-07", "LC-2411"),
    ("CU-04", "drive cable", CABLE_EXCHANGED[1], "DC-41", "LC-2507"),
    ("CU-04", "cable connector", CABLE_EXCHANGED[1], "DK-41", "LC-2507"),
    ("GT-42", "source stop", date(2026, 1, 31), "", "LC-2512"),
]

# every later source assembly is wiped on receipt; these are the tests besides
STARTING_WIPES = [("SA-01", "2025-01-13"), ("SA-02", "2024-12-16"), ("SA-03", "2025-02-03"),
                  ("SA-04", "2025-02-24"), ("SA-05", "2025-02-10"), ("SA-06", "2025-02-12"),
                  ("ED-03", "2025-02-19"), ("ED-06", "2025-02-21")]
LATER_WIPES = [
    ("SA-05", "2025-08-08"),
    # six months ran out on 2025-08-12
    ("SA-06", "2025-08-21"),
    # near misses: each on the last day
    ("SA-06", "2026-02-21"), ("ED-06", "2026-02-21"), ("SA-15", "2026-04-24"),
    # twelve months ran out on 2026-02-19
    ("ED-03", "2026-02-26"),
    ("SA-20", "2026-05-20"),
]

# day, what was written; the third quarter of 2025 was forgotten and is not made up for
INVENTORIES = [
    (date(2025, 3, 14), ""), (date(2025, 6, 20), ""),
    (date(2025, 10, 3), "meant for the third quarter"), (date(2025, 12, 19), ""),
    # near miss: almost five months apart, and each in its quarter
    (date(2026, 1, 9), ""), (date(2026, 6, 2), ""),
]

SERVICES = [
    ("SM-02", date(2026, 1, 7), "battery change", "two cells, both from one lot", "W03"),
    ("SM-06", date(2026, 1, 10), "servicing", "needle stuck; opened, bearing cleaned, closed",
     "W02"),
]


def first_parts():
    """What is known to be fitted when the ledger starts."""
    since = {row[0]: row[8] for row in company.equipment()}
    rows = []
    for item, day in since.items():
        kind = item[:2]
        if kind == "CU":
            on, number = CABLES[item]
            lot = f"LC-{on.year % 100}{on.month:02}"
            rows.append([item, "drive cable", on.isoformat(), DESIGNEE, f"DC-{number}", lot])
            rows.append([item, "cable connector", on.isoformat(), DESIGNEE, f"DK-{number}", lot])
            rows.append([item, "crank", day, company.MAKER, f"K-0{item[-1]}", ""])
            rows.append([item, "conduit", day, company.MAKER, "", ""])
        elif kind == "ED":
            rows.append([item, "lock", day, company.MAKER, f"L-{10 + int(item[-1])}", ""])
        elif kind == "GT":
            rows.append([item, "source stop", day, company.MAKER, "", ""])
            rows.append([item, "fittings", day, company.MAKER, "", ""])
    return rows


def removable(item, day):
    """What the laboratory found: as a rule less than it can see."""
    dice = Dice(f"wipe/{item}/{day}")
    return f"{5 + dice.below(12)} Bq" if dice.chance(200) else "< 5 Bq"


def wipe(item, day, number):
    """One leak test."""
    part = "shield tube" if item.startswith("ED") else "source"
    return [item, day, part, removable(item, day), LABORATORY, f"LT-{number:03}"]


def wipes():
    """[(day, row)] of all leak tests, with numbered certificates."""
    all_of_them = STARTING_WIPES + LATER_WIPES + [
        (new, received.isoformat()) for received, _, new, _, _ in company.received_sources()]
    all_of_them.sort(key=lambda one: (one[1], one[0]))
    return [(date.fromisoformat(day), wipe(item, day, number))
            for number, (item, day) in enumerate(all_of_them, start=1)]


def on_hand(day):
    """Sources and devices that there are on a day, in the order of the register."""
    devices = [f"ED-0{n}" for n in range(1, 7)]
    sources = [sid for sid, *_ in company.FIRST_SOURCES]
    for received, exchanged, new, old, _ in company.received_sources():
        if received <= day:
            sources.append(new)
        if exchanged <= day:
            sources.remove(old)
    return devices + sources


def loads():
    """[(day, row)] of the six sources at the start and of every exchange."""
    out = [(date.fromisoformat(row[8]), [device, row[0], row[8], DESIGNEE])
           for (_, device, *_), row in zip(company.FIRST_SOURCES, company.first_sources())]
    for number, (day, device, *_) in enumerate(company.EXCHANGES, start=7):
        out.append((day, [device, f"SA-{number:02}", day.isoformat(), DESIGNEE]))
    return out


def each_day(found):
    """{day: rows} of [(day, row)]."""
    days = {}
    for day, row in found:
        days.setdefault(day, []).append(row)
    return days


def put(office, start):
    """The registers as they stood on the first day, and what came later on its day."""
    def take(day, hour, words, stem, head, rows):
        name = f"{stem}.csv" if day == start else f"{stem}-{day}.csv"
        office.table(day, hour, DESIGNEE, words, name, head, rows)

    take(start, 17, ["equipment", "parts"], "equipment/parts", PARTS_HEAD, first_parts())
    later = [(day, [item, component, day.isoformat(), DESIGNEE, serial, lot])
             for item, component, day, serial, lot in LATER_PARTS]
    for day, rows in each_day(later).items():
        take(day + timedelta(days=2), 21, ["equipment", "parts"], "equipment/parts", PARTS_HEAD,
             rows)
    for stem, verb, head, found in (
            ("equipment/leak-tests", "leak-tests", LEAK_HEAD, wipes()),
            ("equipment/loads", "loads", LOADS_HEAD, loads())):
        early = [row for day, row in found if day <= start]
        take(start, 17, ["equipment", verb], stem, head, early)
        for day, rows in each_day((d, r) for d, r in found if d > start).items():
            take(day, 22, ["equipment", verb], stem, head, rows)
    for day, note in INVENTORIES:
        take(day, 22, ["equipment", "inventories"], "equipment/inventories", INVENTORY_HEAD,
             [[day.isoformat(), DESIGNEE, " ".join(on_hand(day)), note]])
    for item, day, sort, what, by in SERVICES:
        take(day, 22, ["instrument", "services"], "instruments/services", SERVICES_HEAD,
             [[item, day.isoformat(), sort, what, company.NAME[by]]])
