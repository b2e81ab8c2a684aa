"""The dated steps in which the office wrote the demo's ledger, and the files that they use."""

from datetime import date, datetime, timedelta, timezone

from . import (badges, company, events, looks, points, sheets, tracking, training, maintenance,
               workbooks)

START = date(2025, 2, 28)
RSO, DESIGNEE = company.NAME["W01"], company.NAME["W02"]

INIT = ["ledger", "new", "--license", company.LICENCE, "--licensee", company.LICENSEE,
        "--site", company.SITE, "--zone", company.ZONE, "--unit", "mrem", "--rso", RSO]


class Office:
    """Collects files and the steps that take them in."""

    def __init__(self):
        self.files = {}
        self.steps = []
        self.used = {}

    def step(self, day, hour, by, words):
        """A step on a day; steps of the same hour follow each other minute by minute."""
        at = datetime(day.year, day.month, day.day, hour, tzinfo=timezone.utc)
        count = self.used.get(at, 0)
        self.used[at] = count + 1
        self.steps.append((at + timedelta(minutes=count), by, words))

    def file(self, name, head, rows):
        """A CSV file that a step names itself."""
        self.files[name] = csv_text(head, rows)

    def table(self, day, hour, by, words, name, head, rows):
        """A CSV file and the step that takes it in."""
        self.file(name, head, rows)
        self.step(day, hour, by, words + [name])


def csv_text(head, rows):
    """Rows as CSV with plain line ends; cells are quoted only where they must be."""
    def cell(text):
        if any(c in text for c in ',"\n'):
            return '"' + text.replace('"', '""') + '"'
        return text
    return "".join(",".join(cell(c) for c in row) + "\n" for row in [head] + rows)


def people_rows(ids):
    """Rows of the worker register."""
    return [[wid, name, role, "exposed", born, since, ""]
            for wid, name, role, born, since in company.PEOPLE if wid in ids]


def start(office):
    """The first day: charter, levels and the registers as they stood."""
    day, hour = START, 15
    office.step(day, hour, RSO, INIT)
    office.step(day, hour, RSO, ["rules", "adopt", "site-levels.toml", "--from", "2025-03-01"])
    office.step(day, hour, RSO, ["checklist", "adopt", "site-checklist.toml", "--from",
                                 maintenance.LIST_FROM.isoformat()])
    early = [w for w in company.NAME if w not in company.LATER_HIRES]
    office.table(day, hour, RSO, ["worker", "import"], "workers.csv", company.WORKERS_HEAD,
                 people_rows(early))
    prior = []
    for worker, (year, months) in company.OWN_EARLIER.items():
        for first, last, mrem in (("2024-01-01", "2024-12-31", year),
                                  ("2025-01-01", "2025-02-28", months)):
            dose = f"{mrem} mrem"
            prior.append([worker, first, last, company.LICENSEE, dose, dose, dose, "",
                          "own paper records, badge results"])
    office.table(day, hour, RSO, ["worker", "prior-doses"], "prior-dose.csv", company.PRIOR_HEAD,
                 prior)
    jobs = [company.job_row(job) for job in company.JOBS if job[5] <= day.isoformat()]
    office.table(day, hour, DESIGNEE, ["job", "import"], "jobs.csv", company.JOBS_HEAD, jobs)
    office.table(day, hour, DESIGNEE, ["instrument", "import"], "instruments.csv",
                 company.INSTRUMENTS_HEAD, company.instruments())
    rows = [row for on, row in company.checks() if on <= day]
    office.table(day, hour, DESIGNEE, ["instrument", "checks"], "checks.csv",
                 company.CHECKS_HEAD, rows)
    office.table(day, hour, DESIGNEE, ["equipment", "import"], "equipment.csv",
                 company.EQUIPMENT_HEAD, company.equipment() + company.first_sources())


def people_changes(office):
    """New hires, changed roles and the declared pregnancy, on their days."""
    hour = 14
    for worker, day in company.LATER_HIRES.items():
        name = f"workers-{day}.csv"
        office.table(day, hour, RSO, ["worker", "import"], name, company.WORKERS_HEAD,
                     people_rows([worker]))
        office.table(day, hour, RSO, ["worker", "missing-quarters"], f"missing-quarters-{day}.csv",
                     company.MISSING_HEAD, company.MISSING[worker])
    hired = company.LATER_HIRES["W14"]
    office.table(hired, hour, RSO, ["worker", "prior-doses"], f"prior-dose-{hired}.csv",
                 company.PRIOR_HEAD, [company.ELSEWHERE])
    for worker, day, role in company.ROLE_CHANGES:
        office.table(day, hour, RSO, ["worker", "roles"], f"roles-{day}.csv",
                     ["worker", "from", "role"], [[worker, day.isoformat(), role]])
    worker, notice, conception = company.PREGNANCY
    office.table(notice, hour, RSO, ["worker", "pregnancies"], "pregnancies.csv",
                 ["worker", "notice_on", "conception_on", "withdrawn_on"],
                 [[worker, notice.isoformat(), conception.isoformat(), ""]])


def things(office):
    """New jobs, sources, withdrawals, returns and checks, on their days."""
    for job in company.JOBS:
        day = date.fromisoformat(job[5])
        if day > START:
            office.table(day, 13, DESIGNEE, ["job", "import"], f"jobs-{day}.csv",
                         company.JOBS_HEAD, [company.job_row(job)])
    for received, _, _, _, row in company.received_sources():
        office.table(received, 16, DESIGNEE, ["equipment", "import"],
                     f"equipment-{received}.csv", company.EQUIPMENT_HEAD, [row])
    gone = {}
    for item, day, reason, by in company.WITHDRAWALS:
        gone.setdefault(day, []).append([item, day.isoformat(), reason, company.NAME[by], "", "",
                                         ""])
    for _, day, new, old, _ in company.received_sources():
        gone.setdefault(day, []).append([
            old, day.isoformat(), "exchanged, sent back to " + company.MAKER, DESIGNEE,
            f"{company.MAKER}, license 00-0001 (invented)",
            company.shipping_paper(300 + int(new[3:]), day),
            "" if old == tracking.NOT_VERIFIED else f"copy of its license, seen {day}"])
    for day, rows in gone.items():
        office.table(day, 20, DESIGNEE, ["equipment", "out-of-service-list"],
                     f"withdrawals-{day}.csv", company.WITHDRAWALS_HEAD, rows)
    for item, day, done, by in company.RETURNS:
        office.table(day, 20, DESIGNEE, ["equipment", "returns"], f"returns-{day}.csv",
                     company.RETURNS_HEAD, [[item, day.isoformat(), done, company.NAME[by]]])
    rounds = {}
    plain, full = points.split(company.checks())
    for day, row in plain:
        if day > START:
            rounds.setdefault(day, []).append(row)
    for day, rows in rounds.items():
        office.table(day, 19, DESIGNEE, ["instrument", "checks"], f"checks-{day}.csv",
                     company.CHECKS_HEAD, rows)
    for day, rows in maintenance.each_day((d, r) for d, part in full for r in part).items():
        office.table(day, 19, DESIGNEE, ["instrument", "calibrations"],
                     f"instruments/calibrations-{day}.csv", points.HEAD, rows)


def build():
    """{file name: text} of everything that the generator writes, script included."""
    office = Office()
    start(office)
    people_changes(office)
    things(office)
    rows = sheets.all_rows()
    for name, part in sheets.by_file(rows).items():
        hour = 13 if name.endswith("-until-monday") else 15
        head = sheets.head_of(part)
        office.table(sheets.imported_on(name, part), hour, DESIGNEE, ["sheet", "import"],
                     f"sheets/{name}.csv", head, [[row[column] for column in head]
                                                  for row in part])
        if part[0]["image"]:
            office.files[f"paper/{part[0]['image']}"] = sheets.paper_image(part)
    # Sent in April and written down late: what 30 April asks for has its receipt.
    office.step(date(2026, 6, 4), 18, RSO, [
        "review", "sent", "2025", "--to", "the authority, in writing", "--performed-by", RSO, "--on",
        "2026-04-22", "--reference", "registered letter 26-0422"])
    folders = {"workers": "people", "prior-dose": "people", "missing-quarters": "people",
               "roles": "people", "pregnancies": "people", "jobs": "jobs",
               "instruments": "instruments", "checks": "instruments",
               "equipment": "equipment", "withdrawals": "equipment", "returns": "equipment"}
    badges.put(office, RSO, DESIGNEE, rows)
    training.put(office, RSO, rows)
    maintenance.put(office, START)
    tracking.put(office, rows)
    looks.put(office, DESIGNEE, rows)
    events.put(office, RSO, DESIGNEE)
    place = {name: place_of(name, folders) for name in office.files}
    files = {place[name]: text for name, text in office.files.items()}
    steps = [(at, by, [place.get(word, word) for word in words])
             for at, by, words in sorted(office.steps, key=lambda step: step[0])]
    files["script.toml"] = script_text(steps)
    files.update(workbooks.files())
    return files


def place_of(name, folders):
    """The folder of a register file: people, jobs, instruments or equipment."""
    for stem, folder in folders.items():
        if name == f"{stem}.csv" or name.startswith(f"{stem}-2"):
            return f"{folder}/{name}"
    return name


def script_text(steps):
    """The steps as TOML."""
    out = ["# The steps that build the demo's ledger, written by make_demo.py.\n"
           "# Each step: the instant that the scripted clock shows, who writes, and the words\n"
           "# of the command; file names are relative to this folder.\n\n"
           f'today = "{company.TODAY}"\n']
    for at, by, words in steps:
        run = ", ".join(f'"{word}"' for word in words)
        out.append(f'\n[[step]]\nat = "{at.strftime("%Y-%m-%dT%H:%M:%SZ")}"\nby = "{by}"\n'
                   f"run = [{run}]\n")
    return "".join(out)
