"""Inspections: the check of each device-day before the shift, and the rounds of the quarter.

A look is one inspection of one thing: its cells and its lines. What is good on a list and is
neither measured nor a mating check stands together on one row, `all others`.
"""

from datetime import date

from . import company, roster, sheets, story, maintenance
from .dice import Dice

HEAD = "item,on,at,when,performed_by,with,counter,line,result,value,note,action,remark".split(",")
WORKED = ("radiography", "retrieval", "source exchange")
# highest rate at the surface in mR/h for a source of 100 Ci, and at 1 m in tenths of that
SURFACE = {"ED-01": 41, "ED-02": 37, "ED-03": 45, "ED-04": 39, "ED-05": 22, "ED-06": 132}
ROUND = {"ED-01": date(2025, 2, 25), "ED-02": date(2025, 2, 26), "ED-03": date(2025, 2, 25),
         "ED-04": date(2025, 2, 27), "ED-05": date(2025, 2, 26), "ED-06": date(2025, 2, 27)}
# meters, collimators, changer and container: when all of it lies in the yard
STORE = [date(2025, 2, 27), date(2025, 5, 25), date(2025, 8, 24), date(2025, 11, 23),
         date(2026, 2, 22), date(2026, 5, 17)]

# hundredths of a millimetre when the ledger starts, and what 1000 cycles take off
CABLE = {"CU-01": (599, 0.8), "CU-03": (600, 0.7), "CU-04": (589, 2.4), "CU-05": (598, 0.6),
         "CU-06": (601, 0.9)}
TILT = {"CU-01": 3, "CU-03": 2, "CU-04": 5, "CU-05": 4, "CU-06": 2}
NEW_CABLE = (600, 1.6)
# The cable of CU-02, fitted new on the first of these days: millimetres, and degrees of its connector.
# From November on the RSO has it measured every month, on Sundays.
WORN = [
    (date(2025, 2, 26), "6.00", 2), (date(2025, 5, 10), "5.95", 3),
    (date(2025, 8, 9), "5.90", 5), (date(2025, 11, 8), "5.90", 5),
    (date(2025, 12, 14), "5.85", 6), (date(2026, 1, 11), "5.85", 7),
    (date(2026, 2, 7), "5.85", 7), (date(2026, 3, 8), "5.80", 9),
    (date(2026, 4, 12), "5.80", 10), (date(2026, 5, 9), "5.75", 11),
]
MONTHLY = (date(2025, 12, 14), date(2026, 1, 11), date(2026, 3, 8), date(2026, 4, 12))
# below 5.80 mm, and written down as good
PASSED_BEYOND = date(2026, 5, 9)

NO_CHECK = "B-2025-09-25-day"
LATE_CHECK = "B-2025-06-11-day"
# near miss: five minutes before the first exposure
JUST_BEFORE = "C-2025-06-12-day"
# the same rate, day after day, on a device whose other days differ
COPIED = ("ED-03", date(2026, 3, 16), date(2026, 3, 28))
DEFECT = ("ED-04", date(2025, 5, 3))


def row(item, on, at, when, by, line, result="", **cells):
    """One row of an inspection file; what a row of the file does not need stays blank."""
    known = {"item": item, "on": on.isoformat(), "at": at, "when": when, "performed_by": by,
             "line": line, "result": result} | cells
    return [known.get(column, "") for column in HEAD]


class Looks:
    """Collects looks by the file they are handed in with."""

    def __init__(self, rows):
        self.rows = rows
        self.heads = {r["sheet"]: r for r in rows}
        self.people = {}
        for r in rows:
            if r["role"] != "trainee" and r["worker"] in company.NAME:
                self.people.setdefault(r["sheet"], []).append(r["worker"])
        self.found = {}
        self.last_rates = {}

    def put(self, name, looks):
        """Rows of one or more looks, for a file."""
        self.found.setdefault(name, []).extend(looks)

    def cycles(self, unit, day):
        """Exposures of a control unit on the sheets before a day."""
        return sum(int(r["exposures"]) for r in self.heads.values()
                   if r["control_unit"] == unit and r["day"] < day.isoformat())

    def surface(self, device, day):
        """Highest rate at the surface in mR/h: it follows the source's decay, and the hand."""
        curies = company.curies_in(device, day)
        dice = Dice(f"surface/{device}/{day}")
        last = self.last_rates.setdefault(device, [])
        if device == COPIED[0] and COPIED[1] < day <= COPIED[2]:
            last.append(last[-1])
            return last[-1]
        while True:
            rate = max(1, round(SURFACE[device] * curies / 100
                                * (1000 + dice.below(361) - 180) / 1000))
            # Honest runs end at three, so that the copied one stands alone.
            if last[-3:] != [rate] * 3:
                break
        last.append(rate)
        return rate


def daily(book, head):
    """The check of a sheet's set and meter before its begin."""
    day = date.fromisoformat(head["day"])
    begin = int(head["begins"][:2]) * 60 + int(head["begins"][3:])
    dice = Dice(f"daily/{head['sheet']}")
    people = book.people[head["sheet"]]
    first, second = people[0], people[min(1, len(people) - 1)]
    at = sheets.clock(begin - 8 - dice.below(15))
    if head["sheet"] == JUST_BEFORE:
        at = "07:45"
    of_unit = "12:20" if head["sheet"] == LATE_CHECK else at
    device, unit = head["device"], head["control_unit"]
    out = []
    if head["work"] != "retrieval":
        out += [row(device, day, of_unit, "daily", first, "device-surface-rate",
                    value=f"{book.surface(device, day)} mR/h"),
                row(device, day, of_unit, "daily", first, "all others", "good"),
                row(unit, day, of_unit, "daily", first, "connector-mating", "good",
                    **{"with": device}),
                row(unit, day, of_unit, "daily", first, "all others", "good")]
        out += [row(tube, day, at, "daily", second, "all others", "good")
                for tube in head["guide_tubes"].split()]
    out.append(row(head["meter"], day, at, "daily", second, "all others", "good"))
    if head["work"] == "source exchange":
        out += [row("SC-01", day, at, "daily", first, "changer-surface-rate",
                    value=f"{20 + dice.below(25)} mR/h"),
                row("SC-01", day, at, "daily", first, "all others", "good")]
    return out


def measures(book, unit, day, by):
    """Cable and connector of a control unit: the two measures of the quarter."""
    result = ""
    if unit == "CU-02":
        wide, tilt = next((d, t) for on, d, t in WORN if on == day)
        result = "good" if day == PASSED_BEYOND else ""
    else:
        (start, rate), tilt, since = CABLE[unit], TILT[unit], 0
        other, exchanged, _ = maintenance.CABLE_EXCHANGED
        if unit == other and day >= exchanged:
            (start, rate), tilt, since = NEW_CABLE, 1, book.cycles(unit, exchanged)
        worn = book.cycles(unit, day) - since
        # The gauge is read to 0.05 mm, half of its step.
        hundredths = 5 * round((start - rate * worn / 1000) / 5)
        wide = f"{hundredths // 100}.{hundredths % 100:02}"
        tilt += worn // 1500 + Dice(f"tilt/{unit}/{day}").below(2)
    return [row(unit, day, "", "quarterly", by, "cable-diameter", result, value=f"{wide} mm"),
            row(unit, day, "", "quarterly", by, "cable-connector-tilt", value=f"{tilt} deg")]


def control_unit(book, device, day, at, by):
    """The list of the quarter on a control unit, with its device and the source in it."""
    unit = f"CU-0{device[-1]}"
    source = company.source_in(device, day)
    out = measures(book, unit, day, by)
    out += [row(unit, day, "", "quarterly", by, "connector-mating", "good", **{"with": device}),
            row(unit, day, "", "quarterly", by, "connector-gauge", "good", **{"with": source}),
            row(unit, day, "", "quarterly", by, "all others", "good")]
    for one in out:
        one[HEAD.index("at")] = at
    if (unit, day) == maintenance.CABLE_EXCHANGED[:2]:
        out[0][HEAD.index("remark")] = "new cable and connector; the old cable read 5.80 mm"
    return out


def quarterly(book, device, day, hand):
    """The round of one set at its maintenance: device and source by W02, the rest by a hand."""
    dice = Dice(f"quarterly/{device}/{day}")
    at = [sheets.clock(490 + 14 * n + dice.below(8)) for n in range(5)]
    rate = book.surface(device, day)
    metre = max(1, round(rate * (14 + dice.below(5)) / 60))
    out = [row(device, day, at[0], "quarterly", "W02", "device-surface-rate",
               value=f"{rate} mR/h"),
           row(device, day, at[0], "quarterly", "W02", "device-metre-rate",
               value=f"{metre / 10:g} mR/h")]
    if (device, day) == DEFECT:
        out.append(row(device, day, at[0], "quarterly", "W02", "device-lock-fasteners", "defect",
                       note="one of four screws of the lock plate missing",
                       action="tagged, screw ordered; crew told"))
    out.append(row(device, day, at[0], "quarterly", "W02", "all others", "good"))
    out += control_unit(book, device, day, at[1], hand)
    for n, tube in enumerate(f"GT-{device[-1]}{m}" for m in (1, 2)):
        if not withdrawn_tube(tube, day):
            out.append(row(tube, day, at[2 + n], "quarterly", hand, "all others", "good"))
    source = company.source_in(device, day)
    due = any((source, day.isoformat()) == wiped for wiped in maintenance.LATER_WIPES)
    if not due:
        out.append(row(source, day, at[4], "quarterly", "W02", "source-leak-wipe", "not done",
                       note="leak test not due yet"))
    out.append(row(source, day, at[4], "quarterly", "W02", "all others", "good"))
    return out


def withdrawn_tube(tube, day):
    """Whether a guide tube was out of service for good by a day."""
    return any(item == tube and on <= day for item, on, _, _ in company.WITHDRAWALS
               if item.startswith("GT"))


def store(day):
    """Meters, collimators, the changer and the container."""
    dice = Dice(f"store/{day}")
    out = []
    for n, (item, lines) in enumerate((("SC-01", "changer"), ("ST-01", "container"))):
        at = sheets.clock(540 + 20 * n)
        rate = 20 + dice.below(25)
        out += [row(item, day, at, "quarterly", "W02", f"{lines}-surface-rate",
                    value=f"{rate} mR/h"),
                row(item, day, at, "quarterly", "W02", f"{lines}-metre-rate",
                    value=f"{round(rate * 3 / 10) / 10:g} mR/h"),
                row(item, day, at, "quarterly", "W02", "all others", "good")]
    things = [f"CL-0{n}" for n in (1, 2, 3)] + [f"SM-0{n}" for n in range(1, 9)]
    for n, item in enumerate(things):
        out.append(row(item, day, sheets.clock(590 + 6 * n), "quarterly", "W02", "all others",
                       "good"))
    return out


def receipt(source, day):
    """A source assembly as it arrived."""
    return [row(source, day, "14:10", "on receipt", "W02", "all others", "good")]


def after_retrieval(book):
    """What was found on the set the day after it came home."""
    day, why = date(2026, 5, 20), "after an event"
    rate = book.surface("ED-02", day)
    unit = "CU-02"
    return [
        row("ED-02", day, "13:10", why, "W01", "device-surface-rate", value=f"{rate} mR/h"),
        row("ED-02", day, "13:10", why, "W01", "device-metre-rate", value="0.9 mR/h"),
        row("ED-02", day, "13:10", why, "W01", "all others", "good"),
        row(unit, day, "13:40", why, "W01", "cable-diameter", "defect", value="5.75 mm",
            note="below the limit over 8 cm, 10 cm from the connector",
            action="withdrawn, tagged, kept for the investigation"),
        row(unit, day, "13:40", why, "W01", "cable-connector-tilt", value="13 deg"),
        row(unit, day, "13:40", why, "W01", "cable-behind-connector", "defect",
            note="flat strands 10 cm from the connector, does not spring back",
            action="withdrawn, tagged, kept for the investigation"),
        row(unit, day, "13:40", why, "W01", "connector-mating", "good", **{"with": "ED-02"}),
        row(unit, day, "13:40", why, "W01", "connector-gauge", "not done",
            note="source left locked and untouched"),
        row(unit, day, "13:40", why, "W01", "all others", "good"),
    ] + [row(tube, day, "14:20", why, "W02", "all others", "good")
         for tube in ("GT-21", "GT-22")]


def others(book):
    """[(day, looks)] of all that is not the check of a sheet, in the order of the days."""
    out = [(day, lambda d=device, on=day: quarterly(book, d, on, "W02"))
           for device, day in ROUND.items()]
    for head in book.heads.values():
        if head["work"] == "maintenance":
            day = date.fromisoformat(head["day"])
            hand = book.people[head["sheet"]][-1]
            out.append((day, lambda d=head["device"], on=day, by=hand:
                        quarterly(book, d, on, by)))
    out += [(day, lambda on=day: control_unit(book, "ED-02", on, "09:15", "W02"))
            for day in MONTHLY]
    out += [(day, lambda on=day: store(on)) for day in STORE]
    out += [(day, lambda s=new, on=day: receipt(s, on))
            for day, _, new, _, _ in company.received_sources()]
    out.append((date(2025, 5, 5), lambda: [
        row("CU-05", date(2025, 5, 5), "10:30", "daily", "W02", "crank", "defect",
            note="handle loose on its shaft", action="withdrawn, tagged")]))
    out.append((date(2026, 2, 23), lambda: [
        row("GT-41", date(2026, 2, 23), "21:40", "after an event", "W11", "tube-kinks", "defect",
            note="outer end dented, dropped from a stand", action="withdrawn, tagged")]))
    out.append((date(2026, 5, 20), lambda: after_retrieval(book)))
    return sorted(out, key=lambda one: one[0])


def by_file(rows):
    """{file name: rows}: the looks of a sheet go with its file, the rest with their week's."""
    book = Looks(rows)
    work = [(date.fromisoformat(head["day"]), head["begins"], lambda h=head: daily(book, h),
             file_of(head))
            for head in book.heads.values()
            if head["work"] in WORKED and head["sheet"] != NO_CHECK]
    work += [(day, "", make, week_file(day)) for day, make in others(book)]
    for day, _, make, name in sorted(work, key=lambda one: one[:2]):
        book.put(name, make())
    return book.found


def week_file(day):
    """The file of a week; that of the retrieval's week is cut, and the first holds the rounds."""
    if day < company.FIRST:
        return "2025-W09-round"
    week = roster.iso_week(day)
    if week == "2026-W21":
        before = day < story.RETRIEVAL
        return f"{week}-until-monday" if before else f"{week}-from-tuesday"
    return week


def file_of(head):
    """The file that goes with a sheet's file; late and paper sheets' checks were in time."""
    day = date.fromisoformat(head["day"])
    if day == story.RETRIEVAL and head["sheet"].startswith("A"):
        return f"{day}-retrieval"
    if head["sheet"] == story.OFF_SCALE_SHEET:
        return f"{day}-off-scale"
    return week_file(day)


def put(office, by, rows):
    """An inspection file beside each file of sheets, taken in an hour before it."""
    for name, part in by_file(rows).items():
        if name == "2025-W09-round":
            day, hour = date(2025, 2, 28), 18
        else:
            last = max(date.fromisoformat(one[1]) for one in part)
            hour = 12 if name.endswith("-until-monday") else 14
            day = taken_in(name, last)
        office.table(day, hour, by, ["inspect", "import"], f"inspections/{name}.csv", HEAD, part)


def taken_in(name, last):
    """The day on which the sheets of the same name are taken in."""
    return sheets.imported_on(name, [{"day": last.isoformat()}])
