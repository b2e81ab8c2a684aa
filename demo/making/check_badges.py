"""The rules that badges, reports, determinations and qualifications must keep on the disk."""

from datetime import date, timedelta

from . import hand, readback
from .readback import months_after

HEADS = {
    "badges/issues": "badge,type,worker,first_day,last_day,employer",
    "badges/returns": "badge,on,note",
    "badges/sendings": "badge,on,note",
    "badges/losses": "badge,on,note",
    "badges/report": "Badge No,Wearer,Hp(10) mrem,Hp(3) mrem,Hp(0.07) mrem,Ring mrem,"
                     "Control gross mrem,Code,YTD deep mrem",
    "badges/determinations":
        "worker,sheet,dosimeter,badge,first_day,last_day,quantity,dose,relation,method,basis,"
        "on,performed_by,second_by",
    "people/qualifications": "worker,type,on,until,performed_by,note",
}

# What is hidden on purpose; the files must hold this and no more of it.
EXPECTED = {
    "hold": {("B-2603-95", "PR-2603", "never issued"),
             ("B-2509-05", "PR-2509-K", "second report"),
             ("B-2604-03", "PR-2603", "before the period's end"),
             ("B-2511-93", "", "overlapping wear")},
    "lost": {"B-2601-09"},
    "no result though reported for": {"B-2601-09", "B-2603-03"},
    "outside the band": {"B-2506-12", "B-2509-13"}
    | {f"B-25{m:02}-06" for m in range(7, 13)},
    "undetermined reading": {("B-2605-04", "A-2026-05-27-day")},
    "without a badge": {("B-2026-01-20-day", "W09"), ("B-2026-01-21-day", "W09")},
    "not accepted": {"PR-2509-K", "PR-2602-L", "PR-2603", "PR-2605-E"},
    "late report": {("B-2602-10", "2026-05-12")},
    "early report": {("B-2510-07", "2025-10-17"), ("B-2605-04", "2026-06-03")},
    "not returned": {"B-2605-08"},
    "over the cut of the year": {"B-2512-11", "B-2512-13", "B-2512-14"},
    "processor's year": {("PR-2602-L", "W10")},
    "determined": {("W09", "72 mrem"), ("W04", "180 mrem")},
    "lapsed": {("W13", "refresher training", "2026-05-20", ""),
               ("W05", "job performance inspection", "2025-09-05", "2025-09-17")},
}


def whole(nsv_or_cell):
    """Whole mrem of a cell of a report; 0 below the minimum."""
    return 0 if nsv_or_cell in ("M", "") else int(nsv_or_cell)


def plain(dosimetry):
    """What must hold of every badge and of every line of a report."""
    books = dosimetry.books
    for number, row in dosimetry.issues.items():
        begin, end = dosimetry.days(number)
        if row["worker"] and books.workers[row["worker"]]["monitored_from"] > begin:
            yield f"{number}: issued before monitoring began"
        if not begin <= end or row["first_day"] > row["last_day"]:
            yield f"{number}: ends before it begins"
        if (row["type"] == "control") != (row["worker"] == ""):
            yield f"{number}: a control badge has no wearer, any other has one"
        if number in dosimetry.sent:
            sent = date.fromisoformat(dosimetry.sent[number])
            after = (sent - date.fromisoformat(end)).days
            early = number in ("B-2510-07", "B-2605-04")
            if not 0 < after <= (1 if early else 10) and number != "B-2511-08":
                yield f"{number}: sent {after} days after its end"
    for number, row in dosimetry.results.items():
        sort = dosimetry.issues[number]["type"]
        filled = {c for c in ("Hp(10) mrem", "Hp(3) mrem", "Hp(0.07) mrem") if row[c]}
        if (sort == "whole body") != (len(filled) == 3):
            yield f"{number}: deep, lens and shallow go with a whole-body badge"
        if (sort == "extremity") != bool(row["Ring mrem"]):
            yield f"{number}: a ring's dose goes with a ring"
        if (sort == "control") != bool(row["Control gross mrem"]):
            yield f"{number}: a gross value goes with a control badge"
        for column in filled | ({"Ring mrem"} if row["Ring mrem"] else set()):
            if row[column] != "M" and int(row[column]) < 10:
                yield f"{number}: {column} is below the processor's minimum"
        if number not in dosimetry.sent or dosimetry.sent[number] >= row["reported_on"]:
            yield f"{number}: reported before it was sent"
        name = books.workers.get(dosimetry.issues[number]["worker"], {"name": "CONTROL"})["name"]
        if row["Wearer"] != name.upper():
            yield f"{number}: {row['Wearer']} did not wear it"
    for report in dosimetry.early:
        yield f"{report}: accepted before it came, or with a held line"
    if highest_beside(dosimetry, "W09", "B-2601-09") != 718:
        yield "B-2601-09: the highest readings on its sheets are not 71.8 mrem"
    for row in dosimetry.determinations:
        if row["performed_by"] != "W01" or row["worker"] == row["performed_by"]:
            yield f"determination of {row['worker']}: not by the RSO, or of the RSO's own dose"
        if row["sheet"] and row["sheet"] not in books.sheets:
            yield f"determination of {row['worker']}: sheet {row['sheet']} is unknown"
        if row["badge"] and row["badge"] not in dosimetry.lost:
            yield f"determination of {row['worker']}: badge {row['badge']} is not lost"
        if bool(row["sheet"]) + bool(row["badge"]) + bool(row["first_day"]) != 1:
            yield f"determination of {row['worker']}: it must be about one thing"


def highest_beside(dosimetry, worker, number):
    """Of each sheet on which a badge was worn the highest reading of anyone, in 0.1 mrem."""
    sheets = {s for s, (_, _, n) in dosimetry.shifts(worker).items() if n == number}
    highest = {}
    for other in dosimetry.books.workers:
        for _, sheet, tenths in dosimetry.books.shift_doses(other):
            if sheet in sheets:
                highest[sheet] = max(highest.get(sheet, 0), tenths)
    return sum(highest.values())


def processors_years(dosimetry):
    """Lines whose year to date is not the one before (of the report's order) plus the dose."""
    year = {}
    for row in dosimetry.books.prior:
        if row["last_day"] == "2025-02-28":
            year[(row["worker"], "25")] = int(row["deep"].split()[0])
    rows = list(dosimetry.results.values())
    rows += [r for key, r in dosimetry.held.items() if key[0] == "row"]
    for row in sorted(rows, key=lambda r: (r["reported_on"], r["Badge No"])):
        if not row["YTD deep mrem"]:
            continue
        worker = dosimetry.issues[row["Badge No"]]["worker"]
        key = (worker, row["Badge No"][2:4])
        if row["report"].endswith("K"):
            # A correction takes the first value back.
            year[key] -= whole(dosimetry.results[row["Badge No"]]["Hp(10) mrem"])
        expected = year.get(key, 0) + whole(row["Hp(10) mrem"])
        if expected != int(row["YTD deep mrem"]):
            yield row["report"], worker
        year[key] = int(row["YTD deep mrem"])


def lapses(books, qualifications):
    """Intervals that were not kept up to the demo's day, with the day on which it was done."""
    months = {"refresher training": 12, "job performance inspection": 6}
    done = {}
    for row in qualifications:
        done.setdefault((row["worker"], row["type"]), []).append(row["on"])
    for (worker, sort), days in done.items():
        if sort not in months:
            continue
        days = sorted(days)
        for day, then in zip(days, days[1:] + [""]):
            due = months_after(day, months[sort])
            if (then or "2026-06-05") > due:
                yield worker, sort, due, then


def qualified(books, qualifications):
    """Plain rules of the list of qualifications."""
    for row in qualifications:
        days = {r["day"] for r in books.rows if r["worker"] == row["worker"]
                and r["work"] == "radiography"}
        where = f"{row['worker']} {row['type']} {row['on']}"
        if row["type"] == "job performance inspection" and row["on"] >= "2025-03-01":
            if row["on"] not in days:
                yield f"{where}: no radiography that day"
        if row["type"] == "refresher training" and row["on"] in days:
            yield f"{where}: on a sheet that day"
        if row["performed_by"] == books.workers[row["worker"]]["name"]:
            yield f"{where}: by the person's own word"
        if (row["type"] == "certification") != bool(row["until"]):
            yield f"{where}: only a certification has a last day"
    for worker, person in books.workers.items():
        acts = {r["role"] for r in books.rows if r["worker"] == worker}
        sorts = {r["type"] for r in qualifications if r["worker"] == worker}
        if acts & {"radiographer", "assistant"} and not {
                "refresher training", "job performance inspection"} <= sorts:
            yield f"{worker}: without training or observation"
        if "radiographer" in acts and "certification" not in sorts:
            yield f"{worker}: without certification"
        first = min((r["on"] for r in qualifications if r["worker"] == worker
                     and r["type"] == "assistant qualification"), default="9999")
        acted = min((r["day"] for r in books.rows if r["worker"] == worker
                     and r["role"] == "assistant"), default="9999")
        if acted < first:
            yield f"{worker}: an assistant before the qualification of one"


def found(dosimetry, qualifications):
    """What the files hold of each hidden kind, in the shape of EXPECTED."""
    books = dosimetry.books
    out = {key: set() for key in EXPECTED}
    for key, why in dosimetry.held.items():
        if key[0] != "row":
            key = (key, "") if isinstance(key, str) else key
            out["hold"].add((*key, why))
    out["lost"] = set(dosimetry.lost)
    for number, row in dosimetry.issues.items():
        begin, end = dosimetry.days(number)
        if end < "2026-04-01" and number not in dosimetry.results and number not in dosimetry.held:
            out["no result though reported for"].add(number)
        if end < "2026-06-01" and number not in dosimetry.last:
            out["not returned"].add(number)
        if begin[:4] != end[:4]:
            out["over the cut of the year"].add(number)
        result = dosimetry.results.get(number)
        if result is None:
            continue
        late = date.fromisoformat(result["reported_on"]) - date.fromisoformat(row["last_day"])
        if late > timedelta(days=30):
            out["late report"].add((number, result["reported_on"]))
        if late < timedelta(days=14):
            out["early report"].add((number, result["reported_on"]))
        if row["type"] == "whole body":
            band(dosimetry, number, row["worker"], out)
    for worker in books.workers:
        for sheet, (_, _, number) in dosimetry.shifts(worker).items():
            if number is None:
                out["without a badge"].add((sheet, worker))
    reports = {r["report"] for r in dosimetry.results.values()}
    reports |= {key[1] for key in dosimetry.held if len(key) == 2}
    out["not accepted"] = reports - dosimetry.accepted
    out["processor's year"] = set(processors_years(dosimetry))
    out["determined"] = {(r["worker"], r["dose"]) for r in dosimetry.determinations}
    out["lapsed"] = set(lapses(books, qualifications))
    return out


def band(dosimetry, number, worker, out):
    """A result more than 25 % from the readings, both not under 20 mrem."""
    shifts = {s: dose for s, (_, dose, n) in dosimetry.shifts(worker).items() if n == number}
    off = {(number, sheet) for sheet, dose in shifts.items() if dose is None}
    out["undetermined reading"] |= off
    readings, deep = sum(d or 0 for d in shifts.values()), dosimetry.deep(number)
    if not off and max(readings, deep) >= 200_000 and not (
            3 * readings <= 4 * deep <= 5 * readings):
        out["outside the band"].add(number)


def problems(root):
    """Everything that is wrong, in words."""
    dosimetry = hand.Dosimetry(root)
    qualifications = readback.tables(root / "people", "qualifications")
    out = list(plain(dosimetry)) + list(qualified(dosimetry.books, qualifications))
    holds = found(dosimetry, qualifications)
    for key, want in EXPECTED.items():
        if holds[key] != want:
            out.append(f"{key}: differs from what is meant: {sorted(holds[key] ^ want)}")
    return out
