"""Badges and what their processor reported: who wore which, and the files about them.

A badge's result is what the shifts on which it was worn gave by reading, times a factor of the
person, with a little noise, in whole mrem, the control badge already taken off by the processor.
"""

from dataclasses import dataclass, field
from datetime import date, timedelta

from . import company, roster
from .dice import Dice

MINIMUM = 10
RINGS = ("W02", "W05", "W12")
LAST_MONTH = (2026, 6)
LAST_REPORTED = (2026, 3)
# A badge against the dosimeter beside it, in thousandths.
FACTOR = {"W01": 1030, "W02": 1060, "W03": 1020, "W04": 1040, "W05": 1070, "W06": 1030,
          "W07": 1020, "W08": 1040, "W09": 1080, "W10": 1050, "W11": 1040, "W12": 1060,
          "W13": 1050, "W14": 1070}
LOW_READER, LOW_MONTHS, LOW_FACTOR = "W06", ((2025, 7), (2025, 12)), 1450
# What a held row really was, in tenths of a mrem.
TRUE = {("B-2025-05-13-day", "W09"): 120, ("C-2025-09-23-day", "W13"): 140,
        ("A-2025-12-03-day", "W06"): 90}
# Results that the story needs as they are; 0 is below the minimum.
FIXED = {"B-2506-12": 0, "B-2509-05": 41, "B-2509-08": 160, "B-2512-13": 192, "B-2605-04": 187}
CORRECTED = ("B-2509-05", 55)
# The processor typed the next month's number; and a spare that was issued to nobody.
MISTYPED = {"B-2603-03": "B-2604-03"}
SPARE = ("B-2603-95", 22)
LATE = "B-2602-10"

ISSUES_HEAD = "badge,type,worker,first_day,last_day,employer".split(",")
EVENT_HEAD = "badge,on,note".split(",")
REPORT_HEAD = ("Badge No,Wearer,Hp(10) mrem,Hp(3) mrem,Hp(0.07) mrem,Ring mrem,"
               "Control gross mrem,Code,YTD deep mrem").split(",")
DETERMINATION_HEAD = ("worker,sheet,dosimeter,badge,first_day,last_day,quantity,dose,relation,"
                      "method,basis,on,performed_by,second_by").split(",")
MAPPING = "processor"
MAP = [("badge", "Badge No"), ("deep", "Hp(10) mrem"), ("lens", "Hp(3) mrem"),
       ("shallow", "Hp(0.07) mrem"), ("extremity", "Ring mrem"),
       ("gross", "Control gross mrem"), ("year_to_date", "YTD deep mrem")]


@dataclass
class Badge:
    """One badge: planned days, the last day of wear, and when the office wrote what."""

    number: str
    sort: str
    worker: str
    first: date
    planned: date
    issued: date
    last: date | None = None
    returned: date | None = None
    sent: date | None = None
    lost: date | None = None
    note: str = ""
    worn: list = field(default_factory=list)


def office_day(day):
    """The day, or the next one on which the office is open."""
    while day.weekday() > 4 or day in roster.HOLIDAYS:
        day += timedelta(days=1)
    return day


def months():
    """(year, month) of every exchange."""
    year, month = company.FIRST.year, company.FIRST.month
    while (year, month) <= LAST_MONTH:
        yield year, month
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)


def month_end(year, month):
    """The last day of a month."""
    return after(year, month, 1) - timedelta(days=1)


def after(year, month, day):
    """A day of the month that follows."""
    return date(year, month + 1, day) if month < 12 else date(year + 1, 1, day)


def stem(year, month):
    """`2503` for March 2025."""
    return f"{year % 100:02}{month:02}"


def monthly(year, month):
    """The badges of one exchange as they were meant to be."""
    first, planned = date(year, month, 1), month_end(year, month)
    name = stem(year, month)
    plan = [(f"B-{name}-00", "control", "")]
    plan += [(f"B-{name}-{w[1:]}", "whole body", w) for w in company.NAME]
    plan += [(f"R-{name}-{w[1:]}", "extremity", w) for w in RINGS]
    for number, sort, worker in plan:
        begins = max(first, company.LATER_HIRES.get(worker, first))
        if begins > planned or number == "B-2606-08":
            continue
        issued = begins if begins > first else office_day(first)
        badge = Badge(number, sort, worker, begins, planned, issued)
        if planned < company.TODAY and number != "B-2605-08":
            badge.last, badge.returned = planned, office_day(after(year, month, 1))
        sent = office_day(after(year, month, 6))
        if sent <= company.TODAY:
            badge.sent = sent
        yield badge


def all_badges():
    """Every badge with what happened to it."""
    found = {b.number: b for year, month in months() for b in monthly(year, month)}

    def spare(number, worker, first, planned, last=None):
        like = found[number[:6] + "-00"]
        found[number] = Badge(number, "whole body", worker, first, planned, first,
                              last or planned, like.returned, like.sent)

    def change(number, **more):
        for name, value in more.items():
            setattr(found[number], name, value)

    # W07 after the electronic dosimeter's 2130 uSv: badge off, sent the next day, a new one.
    change("B-2510-07", last=date(2025, 10, 14), returned=date(2025, 10, 14),
           sent=date(2025, 10, 15), note="EL-02 showed 2130 uSv in the shift")
    spare("B-2510-91", "W07", date(2025, 10, 20), date(2025, 10, 31))
    # W08 declares a pregnancy: the badge is changed, so that the budget has its own badges.
    change("B-2511-08", last=date(2025, 11, 16), returned=date(2025, 11, 17),
           note="handed in with the written notice on 2025-11-17; last worn on 2025-11-14")
    spare("B-2511-92", "W08", date(2025, 11, 17), date(2025, 11, 30))
    # W10 thought the badge lost, got a spare, found the badge the same evening.
    spare("B-2511-93", "W10", date(2025, 11, 14), date(2025, 11, 30), date(2025, 11, 17))
    change("B-2511-93", returned=date(2025, 11, 17), sent=None,
           note="B-2511-10 was found in the truck the same evening; this one was not worn")
    # The crew of the New Year's night exchanged late.
    for who in ("W11", "W13"):
        change(f"B-2512-{who[1:]}", last=date(2026, 1, 4), returned=date(2026, 1, 5),
               note="at the site until 3 January; exchanged on return")
        change(f"B-2601-{who[1:]}", first=date(2026, 1, 5), issued=date(2026, 1, 5))
    change("B-2512-14", last=date(2026, 1, 1), note="exchanged after the night shift")
    change("B-2601-14", first=date(2026, 1, 2))
    # W09 loses a badge.
    change("B-2601-09", last=date(2026, 1, 20), returned=None, sent=None,
           lost=date(2026, 1, 20), note="at JOB-09 about 10:30; searched, not found")
    spare("B-2601-94", "W09", date(2026, 1, 22), date(2026, 1, 31))
    # W04 off-scale: badge to the RSO the same day, sent the next.
    change("B-2605-04", last=date(2026, 5, 27), returned=date(2026, 5, 28),
           sent=date(2026, 5, 28), note="PD-04 off-scale on 2026-05-27")
    return found


def wear_days(badges, rows):
    """Puts each shift on the badge that was worn: [(sheet, tenths)]."""
    shifts = {}
    for row in rows:
        if row["badge_worn"] != "yes" or row["off_scale"] == "yes":
            continue
        step = 1 if row["dosimeter"].startswith("EL") else 10
        begin, end = (int(row[c].split()[0]) for c in ("start", "end"))
        each = shifts.setdefault((row["day"], row["sheet"], row["worker"]), {})
        each[row["dosimeter"]] = each.get(row["dosimeter"], 0) + (end - begin) * step
    for (day, sheet, worker), each in shifts.items():
        tenths = TRUE.get((sheet, worker), max(each.values()))
        for badge in badges.values():
            if badge.worker == worker and badge.number != "B-2511-93":
                if badge.first <= date.fromisoformat(day) <= (badge.last or badge.planned):
                    badge.worn.append((sheet, tenths))


def deep_of(badge):
    """The deep dose that the processor finds, in whole mrem; 0 is below the minimum."""
    if badge.number in FIXED:
        return FIXED[badge.number]
    tenths = sum(t for _, t in badge.worn)
    when = (badge.first.year, badge.first.month)
    low = badge.worker == LOW_READER and LOW_MONTHS[0] <= when <= LOW_MONTHS[1]
    dice = Dice(f"badge/{badge.number}")
    noise = dice.below(5) - 2 if tenths >= 100 else dice.below(3) - 1
    found = (tenths * (LOW_FACTOR if low else FACTOR[badge.worker]) + 5000) // 10000 + noise
    return found if found >= MINIMUM else 0


def cell(mrem):
    """A dose as the report has it."""
    return str(mrem) if mrem >= MINIMUM else "M"


def lens_and_shallow(number, deep):
    """Lens and shallow dose beside a deep dose."""
    dice = Dice(f"badge/{number}/shallow")
    return ((deep * (1000 + dice.below(41)) + 500) // 1000,
            (deep * (1020 + dice.below(61)) + 500) // 1000)


def ring_of(badge):
    """The dose of a ring: more than the trunk's, most of it from source exchanges."""
    dice = Dice(f"ring/{badge.number}")
    tenths = sum(t for _, t in badge.worn)
    extra = sum(15 + dice.below(26) for sheet, _ in badge.worn if sheet.endswith("-exchange"))
    return tenths * (1300 + dice.below(700)) // 10000 + extra


class Processor:
    """Keeps each wearer's year so far, as the processor's own report has it."""

    def __init__(self):
        self.year = {}
        for worker, (_, months_before) in company.OWN_EARLIER.items():
            self.year[(worker, 2025)] = months_before

    def row(self, badge, number=None, deep=None, code=""):
        """One line of a report."""
        wearer = company.NAME.get(badge.worker, "CONTROL").upper()
        if badge.sort == "control":
            gross = 8 + Dice(f"control/{badge.number}").below(6)
            return [badge.number, wearer, "", "", "", "", str(gross), "C", ""]
        if badge.sort == "extremity":
            return [badge.number, wearer, "", "", "", cell(ring_of(badge)), "", code, ""]
        deep = deep_of(badge) if deep is None else deep
        lens, shallow = lens_and_shallow(badge.number, deep)
        key = (badge.worker, badge.first.year)
        self.year[key] = self.year.get(key, 0) + deep
        return [number or badge.number, wearer, cell(deep), cell(lens), cell(shallow), "", "",
                code, str(self.year[key])]


def reports(badges):
    """[(report, reported on, rows)] in the order in which they came."""
    out = []
    processor = Processor()
    early = {"B-2510-07": ("PR-2510-E", date(2025, 10, 17)),
             "B-2605-04": ("PR-2605-E", date(2026, 6, 3))}

    def single(number, report, on, code, deep=None):
        out.append((report, on, [processor.row(badges[number], None, deep, code)]))

    single_early = lambda number: single(number, *early[number], "E")  # noqa: E731
    for year, month in months():
        if (year, month) > LAST_REPORTED:
            break
        name = stem(year, month)
        if name == "2509":
            # October's badge pulled after the event is reported before September's batch.
            single_early("B-2510-07")
        if name == "2510":
            again = badges[CORRECTED[0]]
            processor.year[(again.worker, 2025)] -= FIXED[again.number]
            single(again.number, "PR-2509-K", date(2025, 11, 13), "K", CORRECTED[1])
        batch = [b for b in badges.values() if b.number[2:6] == name and b.sent
                 and b.number not in early and b.number != LATE]
        rows = [processor.row(b, MISTYPED.get(b.number)) for b in
                sorted(batch, key=lambda b: (b.sort == "extremity", b.number))]
        if SPARE[0][2:6] == name:
            lens, shallow = lens_and_shallow(*SPARE)
            rows.append([SPARE[0], "", str(SPARE[1]), cell(lens), cell(shallow), "", "", "", ""])
        out.append((f"PR-{name}", office_day(after(year, month, 20)), rows))
    # February's badge of W10, found at the processor in May: the year to date of its month.
    processor.year[("W10", 2026)] -= deep_of(badges["B-2603-10"])
    single(LATE, "PR-2602-L", date(2026, 5, 12), "L")
    single_early("B-2605-04")
    return sorted(out, key=lambda one: one[1])


DETERMINATIONS = {
    date(2026, 1, 26): [
        "W09", "", "", "B-2601-09", "", "", "deep", "72 mrem", "until result", "co-worker",
        "issuance to loss, 2026-01-01 to 2026-01-20: on each sheet on which W09 wore the badge "
        "the highest reading of anyone on it, 14 + 19 + 6.6 + 11 + 12.1 + 0 + 9.1 = 71.8 mrem, "
        "rounded up; W09's own readings of these are 31 mrem",
        "2026-01-26", "W01", ""],
    date(2026, 5, 29): [
        "W04", "A-2026-05-27-day", "PD-04", "", "", "", "deep", "180 mrem", "until result",
        "time and distance",
        "W04 reported 1.5 minutes at 2 m from the end of the guide tube with the source not yet "
        "home: SA-21, 99 Ci on 2026-04-01, 58.5 Ci on the day, 0.48 rem m2 per h and Ci, "
        "58.5 x 0.48 / 4 = 7.02 rem/h, x 1.5 / 60 = 176 mrem, rounded up",
        "2026-05-29", "W01", ""],
}


def put(office, rso, designee, rows):
    """Every badge file and the step that takes it in."""
    badges = all_badges()
    wear_days(badges, rows)
    issues, returned, sent = {}, {}, {}
    for b in badges.values():
        issues.setdefault(b.issued, []).append(
            [b.number, b.sort, b.worker, b.first.isoformat(), b.planned.isoformat(), ""])
        if b.returned:
            returned.setdefault(b.returned, []).append([b.number, b.last.isoformat(), b.note])
        if b.sent:
            sent.setdefault(b.sent, []).append([b.number, b.sent.isoformat(), ""])
        if b.lost:
            office.table(b.lost, 20, designee, ["badge", "lost-badges"], f"badges/losses-{b.lost}.csv",
                         EVENT_HEAD, [[b.number, b.lost.isoformat(), b.note]])
    hours = {date(2025, 10, 14): 21, date(2025, 11, 17): 14}
    for day in sorted(returned.keys() | issues.keys()):
        hour = hours.get(day, 12)
        if day in company.LATER_HIRES.values():
            hour = 14
        if day in returned:
            office.table(day, hour, designee, ["badge", "returns"], f"badges/returns-{day}.csv",
                         EVENT_HEAD, returned[day])
        if day in issues:
            office.table(day, hour, designee, ["badge", "issues"], f"badges/issues-{day}.csv",
                         ISSUES_HEAD, issues[day])
    for day, part in sent.items():
        office.table(day, 18, designee, ["badge", "sent-to-processor"], f"badges/sendings-{day}.csv",
                     EVENT_HEAD, part)
    put_reports(office, rso, designee, reports(badges))
    for day, row in DETERMINATIONS.items():
        office.table(day, 18, rso, ["determination", "import"],
                     f"badges/determinations-{day}.csv", DETERMINATION_HEAD, [row])


def put_reports(office, rso, designee, found):
    """The reports, and the RSO's acceptance of those up to February 2026."""
    first = True
    for report, on, rows in found:
        taken = on if report == "PR-2510-E" else office_day(on + timedelta(days=1))
        name = f"badges/report-{report}.csv"
        words = ["badge", "import", name]
        if first:
            words += [w for ours, theirs in MAP for w in ("--map", f"{ours}={theirs}")]
            words += ["--save-map", MAPPING]
        else:
            words += ["--use-map", MAPPING]
        words += ["--report", report, "--reported-on", on.isoformat(), "--unit", "mrem",
                  "--minimum", f"{MINIMUM} mrem", "--below", "M"]
        office.step(taken, 17, designee, words)
        office.file(name, REPORT_HEAD, rows)
        first = False
        if report in ("PR-2509-K", "PR-2602-L", "PR-2603", "PR-2605-E"):
            continue
        accepted = taken if report == "PR-2510-E" else office_day(taken + timedelta(days=4))
        # One badge of each report is the RSO's own: the designee has looked at that.
        office.step(accepted, 19, rso, ["badge", "accept", "--report", report,
                                        "--performed-by", "W01", "--second-by", "W02"])
