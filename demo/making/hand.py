"""Doses of record worked out from the written files, with nothing shared with their makers.

The rules, plainly: a result stands for the shifts on which its badge was worn and falls on the
badge's days; where a year or a span of days cuts them, it is shared out by the readings of those
shifts, to the nanosievert. Readings that no result speaks for are provisional, and so is a
determination that stands until a result. Held results and badges count for nothing here.
Everything is in nanosievert: a tenth of a mrem is 1000 of them, a mrem 10 000.
"""

import tomllib
from pathlib import Path

from . import readback

TENTH = 1000
COLUMNS = {"deep": "Hp(10) mrem", "lens": "Hp(3) mrem", "shallow": "Hp(0.07) mrem",
           "extremity": "Ring mrem"}


class Dosimetry:
    """Badges, reports, acceptances and determinations."""

    def __init__(self, root):
        folder = Path(root) / "badges"
        with open(Path(root) / "script.toml", "rb") as handle:
            steps = tomllib.load(handle)["step"]
        self.books = readback.Books(root)
        self.steps = [step["run"] for step in steps]
        # Tallgrass Junction keeps the hours of Chicago, where this is the morning of the same day.
        self.first_day = steps[0]["at"][:10]
        self.issues, self.last, self.sent, self.lost = {}, {}, {}, set()
        self.results, self.accepted, self.held = {}, set(), {}
        self.determinations = []
        # Accepted before it came, or with a held line in it, which nobody may accept.
        self.early = set()
        for step in steps:
            words = step["run"]
            if words[:2] == ["badge", "accept"]:
                report = words[words.index("--report") + 1]
                known = {r["report"] for r in self.results.values()}
                if report in known and not any(report == k[-1] for k in self.held):
                    self.accepted.add(report)
                else:
                    self.early.add(report)
            names = [word for word in words if word.endswith(".csv")]
            if words[0] not in ("badge", "determination") or not names:
                continue
            rows = readback.tables(folder, Path(names[0]).stem)
            rows = [r for r in rows if r["file"] == Path(names[0]).name]
            if words[1] == "issues":
                for row in rows:
                    self.issue(row)
            elif words[1] in ("returns", "lost-badges"):
                self.last |= {r["badge"]: r["on"] for r in rows}
                self.lost |= {r["badge"] for r in rows if words[1] == "lost-badges"}
            elif words[1] == "sent-to-processor":
                self.sent |= {r["badge"]: r["on"] for r in rows}
            elif words[0] == "determination":
                self.determinations += rows
            else:
                flags = dict(zip(words, words[1:]))
                for row in rows:
                    self.report(flags["--report"], flags["--reported-on"], row)

    def issue(self, row):
        """A badge; it is held where it overlaps one of the same person and sort."""
        for other in self.issues.values():
            same = (other["worker"], other["type"]) == (row["worker"], row["type"])
            end = self.last.get(other["badge"], other["last_day"])
            if row["worker"] and same and row["first_day"] <= end and (
                    other["first_day"] <= row["last_day"]):
                self.held[row["badge"]] = "overlapping wear"
        self.issues[row["badge"]] = row

    def report(self, report, on, row):
        """One line of a report; held where it is doubtful."""
        number = row["Badge No"]
        row = row | {"report": report, "reported_on": on}
        if number not in self.issues:
            self.held[(number, report)] = "never issued"
        elif on <= self.last.get(number, self.issues[number]["last_day"]):
            self.held[(number, report)] = "before the period's end"
        elif number in self.results:
            self.held[(number, report)] = "second report"
        else:
            self.results[number] = row
            return
        self.held[("row", number, report)] = row

    def days(self, number):
        """First and last day of wear."""
        issue = self.issues[number]
        return issue["first_day"], self.last.get(number, issue["last_day"])

    def of(self, worker, sort="whole body"):
        """The badges of a person and sort that count, the last issued first."""
        mine = [n for n, row in self.issues.items()
                if row["worker"] == worker and row["type"] == sort and n not in self.held]
        return sorted(mine, key=lambda n: self.issues[n]["first_day"], reverse=True)

    def deep(self, number, quantity="deep"):
        """A dose of a badge's result in nSv: 0 below the minimum, None without one."""
        row = self.results.get(number)
        if row is None:
            return None
        cell = row[COLUMNS[quantity]]
        return 0 if cell == "M" else int(cell) * 10 * TENTH

    def shifts(self, worker):
        """{sheet: (day, nSv or None where off-scale, badge or None)}"""
        given = {s: t * TENTH for _, s, t in self.books.shift_doses(worker)}
        badges = self.of(worker)
        out = {}
        for row in self.books.rows:
            if row["worker"] != worker:
                continue
            day, sheet = row["day"], row["sheet"]
            on = [n for n in badges if self.days(n)[0] <= day <= self.days(n)[1]]
            worn = on[0] if on and row["badge_worn"] == "yes" else None
            if sheet in given or row["off_scale"] == "yes":
                out[sheet] = (day, given.get(sheet), worn)
            else:
                out[sheet] = (day, 0, worn)
        return out

    def readings(self, worker, number):
        """[(day, nSv or None)] of the shifts on which a badge was worn, by day."""
        return sorted(((d, x) for d, x, n in self.shifts(worker).values() if n == number),
                      key=lambda one: one[0])

    def share(self, worker, number, first, last, quantity="deep"):
        """What of a badge's result falls on a span of days."""
        lump = self.deep(number, quantity)
        weights = self.readings(worker, number)
        total = sum(x or 0 for _, x in weights)
        before = sum(x or 0 for d, x in weights if d < first)
        until = sum(x or 0 for d, x in weights if d <= last)
        return lump * until // total - lump * before // total if total else None

    def estimate(self, **what):
        """The dose of the determination that is about this, or None."""
        for row in self.determinations:
            if all(row[k] == v for k, v in what.items()):
                return int(row["dose"].split()[0]) * 10 * TENTH
        return None

    def account(self, worker, first, last, quantity="deep"):
        """{class: nSv} of the person's own dose on a span of days, but for extremities."""
        sums = {"of record": 0, "apportioned": 0, "provisional": 0}
        spoken = set()
        for number in self.of(worker):
            begin, end = self.days(number)
            if end < first or last < begin:
                continue
            lump, kind = self.deep(number, quantity), "of record"
            if lump is None:
                lump, kind = self.estimate(badge=number), "provisional"
            if lump is None:
                continue
            spoken.add(number)
            if first <= begin and end <= last:
                sums[kind] += lump
            else:
                sums["apportioned"] += self.share(
                    worker, number, first, last, quantity) or 0
        for sheet, (day, dose, number) in self.shifts(worker).items():
            if first <= day <= last and number not in spoken:
                if dose is None:
                    dose = self.estimate(worker=worker, sheet=sheet)
                sums["provisional"] += dose
        return sums

    def total(self, worker, first, last):
        """All three classes together."""
        return sum(self.account(worker, first, last).values())

    def safe(self, worker, first, last):
        """The safe-side figure of the person's own deep dose, for people without held rows.

        A badge that reaches into the days counts whole: an accepted result as it is, a
        result below the minimum as the minimum or the readings, a result not yet accepted
        as the higher of it and the readings, with what was determined of them.
        """
        total, spoken = 0, set()
        for number in self.of(worker):
            begin, end = self.days(number)
            if end < first or last < begin:
                continue
            readings = 0
            for sheet, (_, dose, of) in self.shifts(worker).items():
                if of == number:
                    readings += self.estimate(worker=worker, sheet=sheet) or 0 if (
                        dose is None) else dose
            lump = self.deep(number)
            again = [r for key, r in self.held.items() if key[:2] == ("row", number)]
            again = [int(r["Hp(10) mrem"]) * 10 * TENTH for r in again]
            if lump is None:
                lump = self.estimate(badge=number)
                if lump is None and not again:
                    continue
                lump = max(lump or 0, readings)
            else:
                row = self.results[number]
                below = row["Hp(10) mrem"] == "M"
                lump = max(lump, 100 * TENTH) if below else lump
                if below or row["report"] not in self.accepted:
                    lump = max(lump, readings)
            lump = max([lump] + again)
            spoken.add(number)
            total += lump
        for day, dose, number in self.shifts(worker).values():
            if first <= day <= last and number not in spoken:
                total += dose or 0
        return total


def mrem(nsv):
    """Nanosievert as mrem, all of its decimals."""
    whole, rest = divmod(nsv, 10 * TENTH)
    return f"{whole}.{rest:04}".rstrip("0").rstrip(".")
