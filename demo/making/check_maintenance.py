"""The rules that inspections, parts, calibrations, wipes and counts must keep on the disk."""

from . import hand_tracking as tracked
from .hand_maintenance import LIMIT, Maintenance, number

HEADS = {
    "inspections/": "item,on,at,when,performed_by,with,counter,line,result,value,note,action,remark",
    "instruments/calibrations": "instrument,on,type,performed_by,certificate,as,scale,true,reads,result",
    "instruments/services": "instrument,on,type,what,performed_by",
    "equipment/parts": "equipment,component,installed_on,performed_by,serial,lot",
    "equipment/leak-tests": "item,on,part,removable,performed_by,certificate",
    "equipment/inventories": "on,performed_by,found,note",
    "equipment/loads": "device,source,on,performed_by",
    "equipment/source-checks": "type,sources,on,performed_by,at,arrived,reference,place",
}

ALL_OF_SET_3 = ("ED-03", "CU-03", "GT-31", "GT-32", "SM-04")
# What is hidden on purpose; the files must hold this and no more of it.
EXPECTED = {
    "no check": {("B-2025-09-25-day", item) for item in ALL_OF_SET_3},
    "checked late": {("B-2025-06-11-day", "ED-03"), ("B-2025-06-11-day", "CU-03")},
    "used with a defect": {("C-2025-05-05-night", "ED-04"), ("C-2025-05-06-night", "ED-04")},
    "round overdue": {("A-2026-05-08-day", i) for i in ("ED-02", "GT-21", "GT-22")}
    | {("C-2026-05-22-evening", i) for i in ("ED-06", "CU-06", "GT-61", "GT-62", "SA-06")},
    "leak test overdue": {(f"C-2025-08-{day}-day", "SA-06") for day in (18, 19, 20)},
    "tube test overdue": {(f"B-2026-02-{day}-day", "ED-03") for day in (23, 24, 25)},
    "quarter without inventory": {"2025 Q3"},
    "serviced": {(f"C-2026-01-{day}-day", "SM-06") for day in range(12, 17)},
    "beyond yet passed": {("CU-02", "2026-05-09", "cable-diameter")},
    "copied": {("ED-03", "2026-03-16", "2026-03-28")},
    "week without a look": {("2025-11-17", "2025-12-01")},
    "surveyed late": {("SA-11", 45)},
    "reported late": {("SA-14", "receipt report", "2025-10-07"),
                      ("SA-13", "transfer report", "2026-01-26")},
    "receiver not verified": {"SA-12"},
    "found wrong": {("PD-06", "2025-12-31", "2025-10-31"), ("SM-07", "2025-12-02", "2025-06-10")},
}


def found(maintenance):
    """What the files hold of each hidden kind, in the shape of EXPECTED."""
    return {
        "no check": maintenance.unchecked(),
        "checked late": maintenance.checked_late(),
        "used with a defect": maintenance.used_with_defect(),
        "round overdue": maintenance.overdue(),
        "leak test overdue": maintenance.untested("source", 6),
        "tube test overdue": maintenance.untested("shield tube", 12),
        "quarter without inventory": maintenance.quarters_missed(),
        "serviced": maintenance.serviced(),
        "beyond yet passed": maintenance.beyond_yet_passed(),
        "copied": {run[:3] for run in maintenance.runs("device-surface-rate", 4)},
        "week without a look": tracked.weeks_missed(maintenance),
        "surveyed late": tracked.surveyed_late(maintenance),
        "reported late": tracked.reported_late(maintenance),
        "receiver not verified": tracked.unverified(maintenance),
        "found wrong": {(*key, good) for key, good in maintenance.found_wrong().items()},
    }


def plain_lines(maintenance):
    """What must hold of every line of an inspection."""
    crew = maintenance.books.workers
    for row in maintenance.lines:
        where = f"{row['item']} {row['on']} {row['at']} {row['line']}"
        if row["performed_by"] not in crew or crew[row["performed_by"]]["monitored_from"] > row["on"]:
            yield f"{where}: {row['performed_by']} does not work here"
        if row["line"] == "all others":
            continue
        item = maintenance.items.get(row["line"])
        if item is None or item["on"] != maintenance.sort(row["item"]):
            yield f"{where}: no item of the list for a {maintenance.sort(row['item'])}"
            continue
        if row["when"] not in item["when"]:
            yield f"{where}: the list does not ask for it {row['when']}"
        if row["value"] and "measure" in item:
            low, high = (number(item["measure"][k]) for k in ("lowest", "highest"))
            if not low <= number(row["value"]) <= high:
                yield f"{where}: {row['value']} is not to be believed"
        elif row["value"] or not row["result"]:
            yield f"{where}: a value goes with a measure, a result with all else"
        pair = bool(row["with"]) and maintenance.sort(row["with"]) == item["pair"]
        if ("pair" in item and row["result"] != "not done") != pair:
            yield f"{where}: a mating check, and it alone, names the other piece"
        if row["result"] == "defect" and not (row["note"] and row["action"]):
            yield f"{where}: a defect has words and an action"


def whole(maintenance):
    """Each look has every item that its list asks for, and stands together in its file."""
    for (item, on, at, when), look in maintenance.looks.items():
        keys = [r["line"] for r in look]
        if len(keys) != len(set(keys)):
            yield f"{item} {on} {at}: a line stands twice"
        alone = on == "2025-05-05" or item == "GT-41" and on == "2026-02-23"
        for key, asked in maintenance.items.items():
            needed = asked["on"] == maintenance.sort(item) and when in asked["when"]
            own = "measure" in asked or "pair" in asked
            if needed and not alone and key not in keys and (own or "all others" not in keys):
                yield f"{item} {on} {at}: {key} was not looked at"
        if maintenance.books.equipment.get(item, {"in_service": ""})["in_service"] > on:
            yield f"{item} {on}: looked at before it was there"


def registers(maintenance):
    """Sheets name the source that was put into their device; counts find what is there."""
    for head in maintenance.books.sheets.values():
        if maintenance.held_by(head["device"], head["day"]) != head["source"]:
            yield f"{head['sheet']}: {head['source']} is not in {head['device']}"
    gone = {r["item"]: r["on"] for r in maintenance.books.withdrawals if r["item"].startswith("SA")}
    for row in maintenance.inventories:
        there = {i for i, e in maintenance.books.equipment.items()
                 if e["type"] in ("exposure device", "source assembly")
                 and e["in_service"] <= row["on"] < gone.get(i, "9999")}
        if set(row["found"].split()) != there:
            yield f"inventory {row['on']}: found is not what there was"
    words = {(i["on"], i["component"]) for i in maintenance.items.values()}
    for row in maintenance.parts:
        if (maintenance.sort(row["equipment"]), row["component"]) not in words:
            yield f"{row['equipment']}: the list knows no {row['component']}"


def problems(root):
    """Everything that is wrong, in words."""
    maintenance = Maintenance(root)
    out = [*plain_lines(maintenance), *whole(maintenance), *registers(maintenance)]
    if number(maintenance.items["cable-diameter"]["measure"]["limit"]) * 100 != LIMIT:
        out.append("the page reckons with another limit than the site's list has")
    holds = found(maintenance)
    for key, want in EXPECTED.items():
        if holds[key] != want:
            out.append(f"{key}: differs from what is meant: {sorted(holds[key] ^ want)}")
    if len(maintenance.lines) > 12_000:
        out.append(f"{len(maintenance.lines)} lines of inspections")
    return out
