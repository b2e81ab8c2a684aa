"""The rules that the written files must keep, checked on what is on the disk."""

import tomllib
from datetime import datetime, timedelta
from pathlib import Path

from . import check_badges, check_maintenance, readback, readme, reckon
from .readback import count

HEADS = {
    "people/workers": "id,name,role,category,birth_date,monitored_from,monitored_until",
    "people/roles": "worker,from,role",
    "people/pregnancies": "worker,notice_on,conception_on,withdrawn_on",
    "people/prior-dose":
        "worker,first_day,last_day,employer,deep,lens,shallow,extremity,basis",
    "people/missing-quarters": "worker,year,quarter,exposure_possible,note",
    "jobs/jobs": "id,place,jurisdiction,setting,zone,first_day,last_day,client",
    "instruments/instruments":
        "id,type,maker,model,serial,unit,range,scale,scales,alarm_preset,in_service",
    "instruments/checks": "instrument,on,type,result,performed_by,certificate",
    "equipment/equipment": "id,type,maker,model,serial,nuclide,activity,activity_on,in_service,"
                           "uranium_tube,received_on,received_from,received_by,"
                           "shipping_paper,uranium_mass",
    "equipment/withdrawals": "item,on,reason,performed_by,transferred_to,shipping_paper,"
                             "license_verified",
    "equipment/returns": "item,on,done,performed_by",
    "sheets/":
        "sheet,day,shift,begins,ends,job,work,device,source,control_unit,guide_tubes,meter,"
        "exposures,source_out_min,boundary,storage_survey,device_out,device_back,attested_by,"
        "worker,role,dosimeter,part,start,end,off_scale,ratemeter,alarm_tested,badge_worn,"
        "paper_date,paper_signer,image,image_sha256,note",
}
DATE_COLUMNS = {"on", "day", "from", "notice_on", "conception_on", "first_day", "last_day",
                "activity_on", "in_service", "monitored_from", "paper_date", "installed_on",
                "received_on"}

# What is hidden on purpose; the files must hold this and no more of it.
EXPECTED = {
    "hold": {("B-2025-05-13-day", "end below start"), ("C-2025-09-23-day", "above range"),
             ("A-2025-12-03-day", "unknown dosimeter"), ("C-2026-04-08-day", "unknown person")},
    "gap": {("A-2025-06-24-day", "EL-01", 37), ("C-2025-09-09-day", "EL-03", -18),
            ("B-2026-04-21-day", "EL-02", -5)},
    "alarm not tested": {("C-2025-08-21-day", "W13")},
    "badge not worn": {("B-2026-01-20-day", "W09"), ("B-2026-01-21-day", "W09")},
    "off-scale": {("A-2026-05-27-day", "W04")},
    "above 2000 uSv": {("B-2025-10-14-day", "W07")},
    "withdrawn in use": {("B-2025-08-13-day", "ED-03")},
    "one qualified": {"A-2025-06-17-day", "C-2026-04-08-day"},
    "not attested": {"B-2025-04-24-day"},
    "no survey at storage": {"A-2026-02-18-day"},
    "late, not from paper": {"B-2025-10-02-day"},
    "from paper": {"C-2025-07-10-day"},
    "two dosimeters": {("C-2026-03-11-day", "W12"), ("C-2026-03-12-day", "W12")},
    "overdue": {"PD-06", "SM-04"},
}


def minutes(row):
    """Begin and end of a sheet in minutes; an end before its begin is on the next day."""
    day = datetime.fromisoformat(row["day"]).toordinal() * 1440
    begin, end = (int(row[c][:2]) * 60 + int(row[c][3:]) for c in ("begins", "ends"))
    return day + begin, day + end + (1440 if end < begin else 0)


def central_offset(at):
    """Hours of US Central time behind UTC: second Sunday of March to first of November."""
    def sunday(month, nth):
        first = datetime(at.year, month, 1)
        return first + timedelta(days=(6 - first.weekday()) % 7 + 7 * (nth - 1))
    summer = sunday(3, 2) + timedelta(hours=8) <= at < sunday(11, 1) + timedelta(hours=7)
    return 5 if summer else 6


def unchanged(root, made, folders):
    """The generator gives the same bytes again, and no file has been left over."""
    for name, text in made.items():
        path = root / name
        same = text if isinstance(text, bytes) else text.encode()
        if not path.exists() or path.read_bytes() != same:
            yield f"{name} differs from what the generator makes"
    for folder in folders:
        for path in (root / folder).iterdir():
            if f"{folder}/{path.name}" not in made:
                yield f"{folder}/{path.name} is not made by the generator"
    page = (root / "README.md").read_text(encoding="utf-8")
    if readme.filled(page, root) != page:
        yield "the tables of README.md are not those of the files"
    if (root / reckon.FILE).read_text(encoding="utf-8") != reckon.text(root):
        yield f"{reckon.FILE} is not what is reckoned from the files"
    files = [p for p in root.rglob("*") if p.is_file() and "__pycache__" not in p.parts]
    size = sum(p.stat().st_size for p in files if p.suffix != ".md")
    if size > 1_800_000:
        yield f"the folder holds {size} bytes"
    for path in files:
        # What is packed into a spreadsheet or a photo is stored as it is, and read like the rest.
        text = path.read_bytes().decode("utf-8", errors="replace")
        if path.suffix in (".xlsx", ".png"):
            text = text.replace("\r", "")
        for word in ("/wo" + "rk/", "/tm" + "p/", "/ro" + "ot/", "/ho" + "me/", "\r"):
            if word in text:
                yield f"{path.name} holds {word!r}"


def heads(root):
    """Every CSV has the columns of its format."""
    known_heads = check_badges.HEADS | check_maintenance.HEADS | HEADS
    for path in sorted(root.rglob("*.csv")):
        name = path.relative_to(root).as_posix()
        want = next((h for stem, h in known_heads.items() if name.startswith(stem)), None)
        have = path.read_text(encoding="utf-8").split("\n", 1)[0]
        if name.startswith("sheets/"):
            have = have.removesuffix(",first_exposure")
        if have != want:
            yield f"{name} has other columns"


def agreeing(books):
    """The rows of a sheet agree in what belongs to the sheet; roles are those of the register."""
    own = {"worker", "role", "dosimeter", "part", "start", "end", "off_scale", "ratemeter",
           "alarm_tested", "badge_worn"}
    for row in books.rows:
        head = books.sheets[row["sheet"]]
        for column in row.keys() - own:
            if row[column] != head[column]:
                yield f"{row['sheet']}: {column} differs between its rows"
        if row["worker"] not in books.workers:
            continue
        role = books.workers[row["worker"]]["role"]
        for change in books.roles:
            if change["worker"] == row["worker"] and change["from"] <= row["day"]:
                role = change["role"]
        stands_in = role == "rso designee" and row["work"] == "radiography"
        if row["role"] != ("radiographer" if stands_in else role):
            yield f"{row['sheet']} {row['worker']}: acted as {row['role']}"


def known(books):
    """Ids on the sheets are in the registers, but for the held ones; days fit the registers."""
    for row in books.rows:
        where = f"{row['sheet']} {row['worker']}"
        things = [row["device"], row["source"], row["control_unit"],
                  *row["guide_tubes"].split()]
        for item in filter(None, things):
            if item not in books.equipment:
                yield f"{where}: unknown equipment {item}"
            elif books.equipment[item]["in_service"] > row["day"]:
                yield f"{where}: {item} not yet in service"
        for item in filter(None, [row["meter"], row["ratemeter"]]):
            if item not in books.instruments:
                yield f"{where}: unknown instrument {item}"
        if row["job"] not in books.jobs or books.jobs[row["job"]]["first_day"] > row["day"]:
            yield f"{where}: job {row['job']} unknown or not begun"
        for person in filter(None, [row["attested_by"], row["paper_signer"]]):
            if person not in books.workers:
                yield f"{where}: unknown {person}"
        person = books.workers.get(row["worker"])
        if person and person["monitored_from"] > row["day"]:
            yield f"{where}: before monitoring began"
        is_pocket = row["dosimeter"].startswith("PD")
        if is_pocket and not books.held(row) and count(row["start"]) > 2:
            yield f"{where}: pocket dosimeter not recharged"
        if int(row["source_out_min"]) > minutes(row)[1] - minutes(row)[0]:
            yield f"{where}: source out longer than the shift"


def overlaps(books):
    """Nobody, no dosimeter, device, meter or ratemeter is in two places."""
    spans = {}
    for row in books.rows:
        for column in ("worker", "dosimeter", "device", "meter", "ratemeter"):
            if row[column]:
                spans.setdefault((column, row[column]), set()).add(
                    (*minutes(row), row["sheet"]))
    for (column, item), found in spans.items():
        found = sorted(found)
        for (_, end, a), (begin, _, b) in zip(found, found[1:]):
            if begin < end:
                yield f"{column} {item} on {a} and {b} at once"
    pairs = {}
    for row in books.rows:
        owner = pairs.setdefault((row["sheet"], row["dosimeter"]), row["worker"])
        if owner != row["worker"]:
            yield f"{row['sheet']}: {row['dosimeter']} on two people"


def one_qualified(books, sheet):
    """Radiography away from a permanent radiographic installation without somebody certified and a second."""
    head = books.sheets[sheet]
    if head["work"] != "radiography" or books.jobs[head["job"]]["setting"][0] == "f":
        return False
    crew = {r["worker"] for r in books.rows if r["sheet"] == sheet}

    def with_paper(sort):
        return {r["worker"] for r in books.qualifications if r["worker"] in crew
                and r["type"] == sort and r["on"] <= head["day"]
                and (not r["until"] or head["day"] <= r["until"])}

    lead = with_paper("certification")
    return not lead or len(lead | with_paper("assistant qualification")) < 2


def withdrawn(books, item, day):
    """Withdrawn before this day and not returned by it; the days themselves do not count."""
    for out in books.withdrawals:
        if out["item"] == item and out["on"] < day:
            if not any(b["item"] == item and out["on"] <= b["on"] <= day
                       for b in books.returns):
                return True
    return False


def overdue_rows(books):
    """[(instrument, row)] used after its check ran out, at the moment of use."""
    months = {"survey meter": 6}
    for row in books.rows:
        for item in {row["dosimeter"], row["meter"], row["ratemeter"]} - {""}:
            if item in books.instruments:
                last = books.last_check(item, row["day"])
                span = months.get(books.instruments[item]["type"], 12)
                if last is None or readback.months_after(last, span) < row["day"]:
                    yield item, row


def found(books, imported):
    """What the files hold of each hidden kind, in the shape of EXPECTED."""
    out = {key: set() for key in EXPECTED}
    last = {}
    worn = {}
    for row in books.rows:
        sheet, worker = row["sheet"], row["worker"]
        why = books.held(row)
        if why:
            out["hold"].add((sheet, why))
        if row["dosimeter"].startswith("EL"):
            shown = last.get(row["dosimeter"])
            if shown is not None and shown != count(row["start"]):
                out["gap"].add((sheet, row["dosimeter"], count(row["start"]) - shown))
            last[row["dosimeter"]] = count(row["end"])
            if books.tenths(row) > 2000:
                out["above 2000 uSv"].add((sheet, worker))
        if row["alarm_tested"] == "no":
            out["alarm not tested"].add((sheet, worker))
        if row["badge_worn"] == "no":
            out["badge not worn"].add((sheet, worker))
        if row["off_scale"] == "yes":
            out["off-scale"].add((sheet, worker))
        worn.setdefault((sheet, worker), set()).add(row["dosimeter"])
        things = [row["device"], row["source"], row["control_unit"],
                  *row["guide_tubes"].split()]
        for item in filter(None, things):
            if withdrawn(books, item, row["day"]):
                out["withdrawn in use"].add((sheet, item))
    out["two dosimeters"] = {key for key, ids in worn.items() if len(ids) > 1}
    for sheet, head in books.sheets.items():
        if one_qualified(books, sheet):
            out["one qualified"].add(sheet)
        if not head["attested_by"]:
            out["not attested"].add(sheet)
        if head["device_back"] and not head["storage_survey"]:
            out["no survey at storage"].add(sheet)
        if head["paper_date"]:
            out["from paper"].add(sheet)
        elif (imported[head["file"]].toordinal() * 1440 - minutes(head)[1]) > 14 * 1440:
            out["late, not from paper"].add(sheet)
    out["overdue"] = {item for item, _ in overdue_rows(books)}
    return out


def script_steps(root):
    """Steps are in order, each file is used once, and nothing is written before it happens."""
    with open(root / "script.toml", "rb") as handle:
        steps = tomllib.load(handle)["step"]
    problems, imported, before = [], {}, ""
    used = []
    for step in steps:
        if step["at"] <= before:
            problems.append(f"step {step['at']} is not after the one before")
        before = step["at"]
        at = datetime.fromisoformat(step["at"].rstrip("Z"))
        local = at - timedelta(hours=central_offset(at))
        if "--reported-on" in step["run"]:
            on = step["run"][step["run"].index("--reported-on") + 1]
            if on > local.date().isoformat():
                problems.append(f"{step['at']}: a report is taken in before its day")
        for word in step["run"]:
            if not word.endswith(".csv"):
                continue
            used.append(word)
            imported[Path(word).name] = local
            stem = Path(word).stem
            for row in readback.tables((root / word).parent, stem):
                if row["file"] != Path(word).name:
                    continue
                # A badge's last day is planned when it is issued.
                planned = {"last_day"} if stem.startswith("issues") else set()
                late = [c for c in DATE_COLUMNS & row.keys() - planned
                        if row[c] and row[c] > local.date().isoformat()]
                if late:
                    problems.append(f"{word} is taken in before {late[0]} {row[late[0]]}")
                if "begins" in row:
                    clock = local.toordinal() * 1440 + local.hour * 60 + local.minute
                    if minutes(row)[1] > clock:
                        problems.append(f"{word} is taken in before {row['sheet']} ends")
    have = sorted(p.relative_to(root).as_posix() for p in root.rglob("*.csv"))
    if sorted(used) != have:
        problems.append(f"files and steps differ: {sorted(set(have) ^ set(used))}")
    return problems, imported


def problems(root, made, folders):
    """Everything that is wrong, in words."""
    out = list(heads(root))
    if out:
        return out
    books = readback.Books(root)
    out += unchanged(root, made, folders)
    out += agreeing(books)
    out += known(books)
    out += overlaps(books)
    steps, imported = script_steps(root)
    out += steps
    out += check_badges.problems(root)
    out += check_maintenance.problems(root)
    holds = found(books, imported)
    for key, want in EXPECTED.items():
        if holds[key] != want:
            out.append(f"{key}: differs from what is meant: {sorted(holds[key] ^ want)}")
    return out
