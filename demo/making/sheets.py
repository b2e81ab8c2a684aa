"""Rows of the sheet files: the fixed days first, then each day's regular work."""

import hashlib
from datetime import timedelta

from . import company, roster, story
from .dice import Dice

HEAD = ("sheet,day,shift,begins,ends,job,work,device,source,control_unit,guide_tubes,meter,"
        "exposures,source_out_min,boundary,storage_survey,device_out,device_back,attested_by,"
        "worker,role,dosimeter,part,start,end,off_scale,ratemeter,alarm_tested,badge_worn,"
        "paper_date,paper_signer,image,image_sha256,note").split(",")
# a last column of the files of which a sheet says when it was
FIRST_EXPOSURE = "first_exposure"

ELECTRONIC = {"W03": "EL-01", "W07": "EL-02", "W12": "EL-03"}
# what the three electronic dosimeters showed when the demo begins, in uSv
ELECTRONIC_START = {"EL-01": 412, "EL-02": 388, "EL-03": 95}

USUAL = [(150, "none"), (720, "low"), (95, "middle"), (35, "high")]
HEAVY = [(20, "none"), (130, "low"), (350, "middle"), (500, "top")]
LIGHT = [(620, "none"), (380, "trace")]
REMARKS = ["rain, two hours lost", "client's crane late", "two welds shot again", "windy",
           "site closed at noon for lightning", "film reshot, fogged"]


def surveyed(device, day, drawn):
    """What the meter reads at a device with its source home, mR/h."""
    return max(2, round(company.curies_in(device, day) / 4 * (0.85 + drawn / 60)))


def clock(minutes):
    """Minutes of the day as HH:MM."""
    minutes %= 1440
    return f"{minutes // 60:02}:{minutes % 60:02}"


def drawn_mrem(worker, day, work, dice):
    """A day's dose in whole mrem."""
    table = USUAL
    if work in ("transport", "maintenance"):
        table = LIGHT
    elif worker == "W11" and day.year == 2026:
        table = HEAVY
    elif worker == company.PREGNANCY[0] and day >= company.PREGNANCY[1]:
        table = LIGHT
    elif worker == "W01":
        table = [(500, "none"), (500, "low")]
    kind = dice.weighted(table)
    if kind == "none":
        return 0
    if kind == "trace":
        return 1 + dice.below(2)
    if kind == "low":
        return 1 + min(dice.below(9), dice.below(10))
    if kind == "middle":
        return 10 + dice.below(10)
    if kind == "top":
        return 20 + dice.below(41)
    return 20 + min(dice.below(41), dice.below(41))


class Pad:
    """Writes sheets; remembers what each electronic dosimeter showed last."""

    def __init__(self):
        self.shown = dict(ELECTRONIC_START)
        self.rows = []

    def sheet_cells(self, plan):
        """The cells that all rows of a sheet share."""
        day, begin, end = plan["day"], plan["begin"], plan["begin"] + plan["length"]
        name = f"{plan['crew']}-{day}-{plan['shift']}{plan['suffix']}"
        dice = Dice(f"sheet/{name}")
        n = plan["device"][-1]
        tubes = [f"GT-{n}1", f"GT-{n}2"]
        if n == "4" and day >= company.WITHDRAWALS[2][1]:
            tubes = ["GT-42"]
        exposures = out = 0
        if plan["work"] == "radiography":
            exposures = 10 + dice.below(27)
            out = exposures * (2 if dice.chance(600) else 3) + dice.below(12)
        elif plan["work"] == "source exchange":
            exposures, out = 2, 4 + dice.below(4)
        shooting = plan["work"] in ("radiography", "retrieval")
        cells = dict.fromkeys(HEAD, "")
        cells |= {
            "sheet": name, "day": day.isoformat(), "shift": plan["shift"],
            "begins": clock(begin), "ends": clock(end), "job": plan["job"],
            "work": plan["work"], "device": plan["device"],
            "source": company.source_in(plan["device"], day),
            "control_unit": f"CU-0{n}" if plan["work"] != "transport" else "",
            "guide_tubes": " ".join(tubes) if plan["work"] != "transport" else "",
            "meter": plan["meter"], "exposures": str(exposures), "source_out_min": str(out),
            "boundary": f"{(8 + dice.below(12)) / 10:g} mR/h" if shooting else "",
            # a quarter of a mR/h from each Ci, read within 15 %
            "storage_survey": f"{surveyed(plan['device'], day, dice.below(19))} mR/h",
            "device_out": clock(begin - 30), "device_back": clock(end + 20),
            "attested_by": plan["people"][0], "note": plan["note"],
            FIRST_EXPOSURE: story.FIRST_EXPOSURE.get(name, ""),
        }
        if not cells["note"] and plan["work"] == "radiography" and dice.chance(25):
            cells["note"] = dice.pick(REMARKS)
        if plan["work"] == "transport":
            cells["device_out"] = clock(begin)
            cells["device_back"] = clock(end)
        return cells | plan["cells"]

    def write(self, plan):
        """Write one sheet: a row a person and part."""
        common = self.sheet_cells(plan)
        if common["sheet"] == story.PAPER_SHEET:
            common["paper_date"] = common["day"]
            common["paper_signer"] = "W12"
            common["image"] = f"{story.PAPER_SHEET}.svg"
        first = len(self.rows)
        for worker in plan["people"]:
            self.person(common, plan, worker)
        if common["image"]:
            digest = hashlib.sha256(paper_image(self.rows[first:]).encode()).hexdigest()
            for row in self.rows[first:]:
                row["image_sha256"] = digest

    def person(self, common, plan, worker):
        """The rows of one person on a sheet."""
        day = plan["day"]
        wrote = plan["per"].get(worker, {})
        dice = Dice(f"dose/{common['sheet']}/{worker}")
        mrem = drawn_mrem(worker, day, plan["work"], dice)
        alarm = plan["work"] not in ("transport", "maintenance")
        role = roster.role_on(worker, day)
        if role == "rso designee" and plan["work"] == "radiography":
            role = "radiographer"
        row = common | {
            "worker": worker, "role": role, "part": "1",
            "off_scale": "no", "badge_worn": "yes",
            "ratemeter": f"RM-{worker[1:]}" if alarm else "",
            "alarm_tested": "yes" if alarm else "",
        }
        device = ELECTRONIC.get(worker)
        if device:
            usv = wrote.get("usv", max(0, 10 * mrem + dice.below(10) - 5))
            last = self.shown[device]
            gap = wrote.get("gap", 0)
            self.shown[device] = last + max(gap, 0) + usv
            parts = [(last + gap, self.shown[device])]
            row["dosimeter"] = device
        else:
            start = dice.weighted([(6, 0), (3, 1), (1, 2)])
            parts = wrote.get("parts", [(start, start + wrote.get("mrem", mrem))])
            row["dosimeter"] = f"PD-{worker[1:]}"
        row |= wrote.get("cells", {})
        # A dosimeter that is in no register has no unit of its own: the crew writes it.
        unit = wrote.get("unit", "")
        for number, (begin, end) in enumerate(parts, start=1):
            begin, end = f"{begin}{unit}", "" if end is None else f"{end}{unit}"
            self.rows.append(row | {"part": str(number), "start": begin, "end": end})
        if "second" in wrote:
            other, begin, end = wrote["second"]
            self.rows.append(row | {"dosimeter": other, "start": str(begin), "end": str(end)})


def regular_plan(keeper, crew, day):
    """The regular shift of a crew, or None."""
    shift = roster.shift_of_week(crew, day)
    job = roster.job_of_week(crew, day)
    begin, length = roster.HOURS[shift]
    dice = Dice(f"hours/{crew}/{day}")
    begin += 15 * dice.below(3)
    length -= 15 * dice.below(5)
    people = keeper.regular_crew(crew, day, shift, job, begin, length)
    if not people:
        return None
    return {"crew": crew, "day": day, "shift": shift, "job": job, "begin": begin,
            "length": length, "device": roster.device_of_week(crew, day),
            "meter": roster.meter_of_week(crew, day), "people": people,
            "work": "radiography", "suffix": "", "note": "", "per": {}, "cells": {}}


def exchange_plan(keeper, crew, day):
    """A source exchange at the yard by the designee and one of the crew's radiographers."""
    for when, device, nuclide, _ in company.EXCHANGES:
        home = {"ED-01": "A", "ED-02": "A", "ED-03": "B", "ED-05": "B"}.get(device, "C")
        if when != day or home != crew:
            continue
        begin, length = 540, 180
        lead = next(w for w in company.CREW[crew]
                    if roster.role_on(w, day) == "radiographer"
                    and not keeper.absent(w, day, "day", company.FIXED_JOB)
                    and keeper.free(w, day, begin, length))
        return {"crew": crew, "day": day, "shift": "day", "job": company.FIXED_JOB,
                "begin": begin, "length": length, "device": device, "meter": "SM-07",
                "people": ["W02", lead], "work": "source exchange", "suffix": "-exchange",
                "note": f"{company.source_in(device, day)} into {device}, old source out by "
                        "SC-01", "per": {}, "cells": {}}
    return None


def maintenance_plan(keeper, crew, day):
    """The quarterly maintenance of one set on a Saturday."""
    device = roster.maintenance_on(crew, day)
    if device is None:
        return None
    begin, length = 480, 120
    helper = [w for w in company.CREW[crew] if roster.role_on(w, day) != "trainee"
              and not keeper.absent(w, day, "day", company.FIXED_JOB)
              and keeper.free(w, day, begin, length)]
    return {"crew": crew, "day": day, "shift": "day", "job": company.FIXED_JOB,
            "begin": begin, "length": length, "device": device, "meter": "SM-08",
            "people": ["W02"] + helper[-1:], "work": "maintenance", "suffix": "-maintenance",
            "note": "quarterly maintenance of the set", "per": {}, "cells": {}}


def transport_plan(keeper, plan):
    """On some Fridays two of a day crew bring the device home in the evening."""
    away = plan["job"] != company.FIXED_JOB and plan["shift"] == "day"
    if not away or plan["day"].weekday() != 4 or plan["per"]:
        return None
    if not Dice(f"transport/{plan['crew']}/{plan['day']}").chance(420):
        return None
    begin = plan["begin"] + plan["length"] + 45
    people = [w for w in plan["people"] if w not in ("W01", "W02")][:2]
    people = [w for w in people if keeper.free(w, plan["day"], begin, 90, rest=0)]
    if not people:
        return None
    return plan | {"shift": "evening", "begin": begin, "length": 90, "people": people,
                   "work": "transport", "suffix": "-transport", "cells": {}, "note": ""}


def all_rows():
    """Every row of every sheet in the order of the days."""
    keeper, pad = roster.Roster(), Pad()

    def put(plan):
        for worker in plan["people"]:
            keeper.take(worker, plan["day"], plan["begin"], plan["length"])
        pad.write(plan)

    for day in roster.days():
        busy = set()
        for plan in story.FIXED:
            if plan["day"] == day:
                busy.add(plan["crew"])
                put(plan)
        for make in (exchange_plan, maintenance_plan):
            for crew in company.CREW:
                plan = None if crew in busy else make(keeper, crew, day)
                if plan:
                    busy.add(crew)
                    put(plan)
        for crew in company.CREW:
            plan = None
            if crew not in busy and roster.works(crew, day):
                plan = regular_plan(keeper, crew, day)
            if plan:
                put(plan)
                ride = transport_plan(keeper, plan)
                if ride:
                    put(ride)
    return pad.rows


def by_file(rows):
    """{file name: rows}: a file a week, and three files for what came another way."""
    files = {}
    for row in rows:
        day = row["day"]
        week = roster.iso_week(company.date.fromisoformat(day))
        if row["sheet"] == story.PAPER_SHEET:
            name = f"{day}-from-paper"
        elif row["sheet"] == story.LATE_SHEET:
            name = f"{day}-late"
        elif day == story.RETRIEVAL.isoformat() and row["sheet"].startswith("A"):
            name = f"{day}-retrieval"
        elif row["sheet"] == story.OFF_SCALE_SHEET:
            name = f"{day}-off-scale"
        elif week == "2026-W21":
            before = day < story.RETRIEVAL.isoformat()
            name = f"{week}-until-monday" if before else f"{week}-from-tuesday"
        else:
            name = week
        files.setdefault(name, []).append(row)
    return files


def head_of(rows):
    """The columns of a file with these rows."""
    return HEAD + [FIRST_EXPOSURE] if any(row[FIRST_EXPOSURE] for row in rows) else HEAD


def imported_on(name, rows):
    """The day on which the office takes in a sheet file: the Monday after, as a rule."""
    last = max(company.date.fromisoformat(row["day"]) for row in rows)
    if name.endswith("-from-paper"):
        return company.date(2025, 7, 28)
    if name.endswith("-late"):
        return company.date(2025, 11, 18)
    if name.endswith(("-retrieval", "-until-monday", "-off-scale")):
        return last + timedelta(days=1)
    monday = last + timedelta(days=7 - last.weekday())
    return monday + timedelta(days=1) if monday in roster.HOLIDAYS else monday


def paper_image(rows):
    """A drawing that stands for the scan of the paper sheet, as SVG text."""
    head = rows[0]
    lines = [f"SHEET {head['sheet']}", f"{head['job']}  {head['begins']} to {head['ends']}",
             f"{head['device']} {head['source']} {head['control_unit']}  {head['meter']}",
             f"exposures {head['exposures']}   source out {head['source_out_min']} min",
             f"boundary {head['boundary']}   at storage {head['storage_survey']}"]
    for row in rows:
        lines.append(f"{row['worker']} {row['dosimeter']}  {row['start']} to {row['end']}")
    lines.append(f"signed {head['paper_signer']} {head['paper_date']}")
    text = "".join(f'<text x="24" y="{40 + 26 * i}">{line}</text>\n'
                   for i, line in enumerate(lines))
    return ('<svg xmlns="http://www.w3.org/2000/svg" width="440" height="320" '
            'font-family="cursive" font-size="17">\n'
            '<title>Stand-in for the scan of a paper sheet (invented)</title>\n'
            '<rect width="440" height="320" fill="#fffdf4" stroke="#888"/>\n'
            f"{text}</svg>\n")
