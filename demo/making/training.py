"""Qualifications: certification, refresher training, job performance inspection, examinations."""

from datetime import date, timedelta

from . import company
from .badges import office_day

HEAD = "worker,type,on,until,performed_by,note".split(",")
BOARD = "Thistledown Certification Board (invented)"
CERTIFIED = {"W01": 2022, "W02": 2023, "W03": 2022, "W04": 2024, "W07": 2022, "W08": 2023,
             "W11": 2023, "W12": 2024}
# day, who was taught; the second session of crew C is the one that W13 missed
SESSIONS = [
    (date(2024, 5, 19), ["W11", "W12"]),
    (date(2024, 5, 21), ["W13"]),
    (date(2024, 8, 18), ["W01", "W02", "W03", "W04", "W05", "W06"]),
    (date(2024, 11, 17), ["W07", "W08", "W09"]),
    (date(2025, 5, 18), ["W11", "W12"]),
    (date(2025, 5, 20), ["W13"]),
    (date(2025, 7, 3), ["W14"]),
    (date(2025, 8, 17), ["W01", "W02", "W03", "W04", "W05", "W06"]),
    (date(2025, 11, 16), ["W07", "W08", "W09"]),
    (date(2026, 1, 27), ["W10"]),
    (date(2026, 5, 17), ["W11", "W12", "W14"]),
]
# day on which each was qualified as an assistant
ASSISTANTS = {"W05": date(2022, 4, 22), "W06": date(2023, 9, 15), "W09": date(2022, 12, 9),
              "W13": date(2023, 3, 17), "W14": date(2025, 7, 3), "W10": date(2026, 1, 28)}
SESSION_NOTE = {date(2024, 5, 21): "alone; missed the crew's session",
                date(2025, 5, 20): "alone; missed the crew's session",
                date(2025, 7, 3): "first instruction with us; site and emergency procedures",
                date(2026, 1, 27): "first instruction as an assistant, with a written test"}
# the last observation before the ledger starts
OBSERVED = {"W01": date(2024, 12, 11), "W02": date(2024, 11, 20), "W03": date(2024, 10, 9),
            "W04": date(2024, 12, 4), "W05": date(2024, 10, 16), "W06": date(2025, 1, 15),
            "W07": date(2024, 11, 13), "W08": date(2025, 1, 22), "W09": date(2024, 9, 25),
            "W11": date(2024, 12, 18), "W12": date(2024, 10, 23), "W13": date(2025, 2, 5)}
SEEN = ["two exposures watched, surveys and boundary right", "set-up and retraction watched",
        "surveys after each exposure watched; reminded to hold the meter lower",
        "answered questions on the emergency procedure well"]
MISSED = ("W05", 12)
# who may be with sources alone since when; ten years on somebody looks anew
ACCESS = {"W01": ["2022-05-02"], "W02": ["2015-09-14", "2025-09-08"], "W03": ["2017-02-06"],
          "W04": ["2019-06-03"], "W07": ["2016-10-10"], "W08": ["2020-01-13"],
          "W11": ["2018-04-30"], "W12": ["2019-01-21"], "W14": ["2026-01-09"],
          # assistants who were alone with a source, on a ride or on `A-2025-06-17-day`
          "W05": ["2022-03-21"], "W06": ["2023-08-14"], "W09": ["2022-11-07"],
          "W13": ["2023-02-13"]}
SCHOOL = "Placard Corner Training (invented)"
# three years on it is done anew; that of W03 ends within thirty days of the demo's day
HAZMAT = {worker: ["2022-10-12", "2025-10-08"] for worker in
          ("W01", "W02", "W04", "W05", "W07", "W08", "W11", "W12")} | {
    "W03": ["2023-06-23"], "W06": ["2023-08-21"], "W09": ["2022-11-14", "2025-11-12"],
    "W10": ["2025-04-14"], "W13": ["2023-02-20", "2026-02-18"], "W14": ["2025-07-07"]}


def months_on(day, months):
    """The same day so many months on, or that month's last day."""
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    begin = date(year + 1, 1, 1) if month == 11 else date(year, month + 2, 1)
    last = (begin - timedelta(days=1)).day
    return date(year, month + 1, min(day.day, last))


def shooting_days(rows):
    """{worker: {day: observers on the sheet}} of radiography."""
    crews = {}
    for row in rows:
        if row["work"] == "radiography":
            crews.setdefault((row["day"], row["sheet"]), set()).add(row["worker"])
    days = {}
    for (day, _), crew in crews.items():
        for worker in crew:
            seen = days.setdefault(worker, {})
            seen.setdefault(date.fromisoformat(day), set()).update(crew & {"W01", "W02"} - {worker})
    return days


def next_seen(days, due, observers):
    """The day of the next observation: with an observer on the sheet if there is one."""
    first = [d for d in days if due - timedelta(days=45) < d <= due and days[d]]
    near = [d for d in days if due - timedelta(days=21) < d <= due]
    wide = [d for d in days if due - timedelta(days=150) < d <= due]
    day = max(first or near or wide)
    return day, min(days[day], default=observers[0])


def observations(rows):
    """[(day, row)] of the job performance inspections after the ledger's start."""
    out = []
    days = shooting_days(rows)
    for worker in company.NAME:
        begins = company.LATER_HIRES.get(worker)
        mine = days[worker]
        others = [w for w in ("W02", "W01") if w != worker]
        if worker == "W10":
            begins = date(2026, 2, 2)
        if begins:
            seen = [min(d for d in mine if d >= begins)]
            last = seen[0]
            out.append((last, observed(worker, last, min(mine[last], default=others[0]), 0, "")))
        else:
            last = OBSERVED[worker]
        number = 1
        while (due := months_on(last, 6)) <= company.LAST:
            day, by = next_seen(mine, due, others)
            note = ""
            if worker == MISSED[0] and number == 1:
                late = timedelta(days=MISSED[1])
                day = min(d for d in mine if d > company.FIRST and d <= due
                          and months_on(d, 6) + late in mine)
                by = min(mine[day], default=others[0])
            elif worker == MISSED[0] and number == 2:
                day = due + timedelta(days=MISSED[1])
                by = min(mine[day], default=others[0])
                note = f"was due by {due}, found when the list was reviewed; "
            out.append((day, observed(worker, day, by, number, note)))
            last, number = day, number + 1
    return out


def observed(worker, day, by, number, note):
    """One observation."""
    text = note + SEEN[(int(worker[1:]) + number) % len(SEEN)]
    return [worker, "job performance inspection", day.isoformat(), "", company.NAME[by], text]


def put(office, rso, rows):
    """The list as it stood on the first day, and then a file for each week with something."""
    start = date(2025, 2, 28)
    early, later = [], []
    for worker, year in CERTIFIED.items():
        day = date(year, int(worker[1:]) % 12 + 1, 14)
        early.append([worker, "certification", day.isoformat(),
                      day.replace(year=year + 5).isoformat(), BOARD, ""])
    for worker, day in ASSISTANTS.items():
        row = [worker, "assistant qualification", day.isoformat(), "", company.NAME["W01"],
               "instruction, test and practical examination"]
        (early if day <= start else later).append((day, row) if day > start else row)
    for day, people in SESSIONS:
        for worker in people:
            by = company.NAME["W02" if worker == "W01" else "W01"]
            row = [worker, "refresher training", day.isoformat(), "", by,
                   SESSION_NOTE.get(day, "procedures, events of the year, written test")]
            (early if day <= start else later).append((day, row) if day > start else row)
    for days, sort, by in ((ACCESS, "unescorted access", ""), (HAZMAT, "hazmat training", SCHOOL)):
        for worker, each in days.items():
            for day in map(date.fromisoformat, each):
                who = by or company.NAME["W02" if worker == "W01" else "W01"]
                row = [worker, sort, day.isoformat(), "", who, ""]
                (early if day <= start else later).append((day, row) if day > start else row)
    for worker, day in OBSERVED.items():
        early.append(observed(worker, day, "W02" if worker == "W01" else "W01", 0, ""))
    later += observations(rows)
    later.append((date(2026, 1, 27),
                  ["W10", "practical examination", "2026-01-27", "", company.NAME["W01"],
                   "device, source changer, surveys, emergency drill: passed"]))
    later.append((date(2026, 1, 9),
                  ["W14", "certification", "2026-01-09", "2031-01-09", BOARD, ""]))
    office.table(start, 16, rso, ["worker", "qualifications"], "people/qualifications.csv",
                 HEAD, sorted(early))
    weeks = {}
    for day, row in later:
        monday = office_day(day + timedelta(days=7 - day.weekday()))
        weeks.setdefault(monday, []).append(row)
    for monday, part in weeks.items():
        office.table(monday, 16, rso, ["worker", "qualifications"],
                     f"people/qualifications-{monday}.csv", HEAD,
                     sorted(part, key=lambda row: (row[2], row[0], row[1])))
