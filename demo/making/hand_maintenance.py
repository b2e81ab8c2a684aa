"""Maintenance worked out from the written files, with nothing shared with their makers.

The list itself is read from the program's own file of it and from the site's, because its keys,
limits and which items belong to which occasion are data and no work of the demo.
"""

import tomllib
from datetime import date
from fractions import Fraction
from pathlib import Path

from . import readback
from .readback import months_after

WORKED = ("radiography", "retrieval", "source exchange")
# Student's factor by degrees of freedom, printed tables: one-sided 95 %, and two-sided 95 %
ONE_SIDED = {2: 2.920, 3: 2.353, 4: 2.132, 5: 2.015, 6: 1.943, 7: 1.895, 8: 1.860, 9: 1.833}
TWO_SIDED = {2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571, 6: 2.447, 7: 2.365, 8: 2.306, 9: 2.262}
# The invented limit of `site-checklist.toml`, in hundredths of a millimetre.
LIMIT = 580.0
# A gauge of 0.1 mm leaves an even spread of one step in each value.
GAUGE_SD = 10 / 12 ** 0.5


def number(cell):
    """The number of a measure, exactly."""
    return Fraction(cell.split()[0])


class Maintenance:
    """Inspections, parts, leak tests, inventories, source exchanges and servicing."""

    def __init__(self, root):
        root = Path(root)
        self.books = readback.Books(root)
        self.lines = readback.tables(root / "inspections", "")
        for stem in ("parts", "leak-tests", "loads", "inventories", "returns", "withdrawals",
                     "source-checks"):
            setattr(self, stem.replace("-", "_"), readback.tables(root / "equipment", stem))
        self.services = readback.tables(root / "instruments", "services")
        base = root.resolve().parent / "src/rule/checklists/general.toml"
        self.items = {i["key"]: i for path in (base, root / "site-checklist.toml")
                      for i in tomllib.loads(path.read_text(encoding="utf-8"))["item"]}
        self.looks = {}
        for row in self.lines:
            key = (row["item"], row["on"], row["at"], row["when"])
            self.looks.setdefault(key, []).append(row)
        # (item, day): hours at which it was looked at
        self.hours = {}
        for item, on, at, _ in self.looks:
            self.hours.setdefault((item, on), []).append(at)

    def sort(self, item):
        """The register's word for a thing."""
        return (self.books.equipment.get(item) or self.books.instruments[item])["type"]

    def used(self, head, meter=True):
        """What a sheet used, without dosimeters and ratemeters."""
        things = [head["device"], head["source"], head["control_unit"],
                  *head["guide_tubes"].split(), head["meter"] if meter else ""]
        return [item for item in things if item]

    def due_daily(self, item):
        """Whether the list has something to look at on this thing every day."""
        return any(i["on"] == self.sort(item) and "daily" in i["when"]
                   for i in self.items.values())

    def unchecked(self):
        """{(sheet, item)} used without any look on that day."""
        return {(head["sheet"], item) for head in self.books.sheets.values()
                if head["work"] in WORKED for item in self.used(head)
                if self.due_daily(item) and (item, head["day"]) not in self.hours}

    def checked_late(self):
        """{(sheet, item)} whose first look of the day came after the first use."""
        out = set()
        for head in self.books.sheets.values():
            first = head.get("first_exposure") or ""
            if not first and head["ends"] > head["begins"]:
                first = head["device_back"] or head["ends"]
            for item in self.used(head) if first and head["work"] in WORKED else ():
                hours = self.hours.get((item, head["day"]))
                if hours and min(hours) > first:
                    out.add((head["sheet"], item))
        return out

    def says_good(self, look, key):
        """Whether a look says of an item that it is good, by its own row or with all others."""
        item = self.items[key]
        for row in look:
            if row["line"] == key:
                return row["result"] == "good"
        return look[0]["when"] in item["when"] and any(r["line"] == "all others" for r in look)

    def used_with_defect(self):
        """{(sheet, item)} used after the day of a defect and before a good look or a return."""
        out = set()
        for row in self.lines:
            if row["result"] != "defect":
                continue
            item, on = row["item"], row["on"]
            cleared = [r["on"] for r in self.books.returns if r["item"] == item and r["on"] >= on]
            cleared += [key[1] for key, look in self.looks.items()
                        if key[0] == item and (key[1], key[2]) > (on, row["at"])
                        and self.says_good(look, row["line"])]
            end = min(cleared, default="9999")
            out |= {(h["sheet"], item) for h in self.books.sheets.values()
                    if on < h["day"] < end and item in self.used(h)}
        return out

    def overdue(self):
        """{(sheet, item)} used more than three months after the last round or receipt."""
        done = {}
        for item, on, _, when in self.looks:
            if when in ("quarterly", "on receipt"):
                done.setdefault(item, []).append(on)
        out = set()
        for head in self.books.sheets.values():
            for item in self.used(head, meter=False):
                last = max((d for d in done.get(item, []) if d <= head["day"]), default=None)
                if last is None or months_after(last, 3) < head["day"]:
                    out.add((head["sheet"], item))
        return out

    def untested(self, part, months):
        """{(sheet, item)} used without a leak test in date."""
        out = set()
        for head in self.books.sheets.values():
            item = head["source" if part == "source" else "device"]
            if part != "source" and self.books.equipment[item]["uranium_tube"] != "yes":
                continue
            last = max((t["on"] for t in self.leak_tests if t["item"] == item
                        and t["part"] == part and t["on"] <= head["day"]), default=None)
            if last is None or months_after(last, months) < head["day"]:
                out.add((head["sheet"], item))
        return out

    def quarters_missed(self):
        """Quarters from the ledger's first to the demo's day without an inventory."""
        seen = {f"{r['on'][:4]} Q{(int(r['on'][5:7]) + 2) // 3}" for r in self.inventories}
        every = [f"{year} Q{q}" for year in (2025, 2026) for q in (1, 2, 3, 4)][:6]
        return set(every) - seen

    def serviced(self):
        """{(sheet, meter)} used after a servicing and before a calibration."""
        out = set()
        for row in self.services:
            if row["type"] != "servicing":
                continue
            again = min((c["on"] for c in self.books.checks
                         if c["instrument"] == row["instrument"] and c["on"] >= row["on"]
                         and c["type"] == "calibration"), default="9999")
            out |= {(h["sheet"], row["instrument"]) for h in self.books.sheets.values()
                    if h["meter"] == row["instrument"] and row["on"] <= h["day"] < again}
        return out

    def beyond_yet_passed(self):
        """{(item, day, key)} measured past the limit and not written down as a defect."""
        out = set()
        for row in self.lines:
            measure = self.items.get(row["line"], {}).get("measure")
            if not row["value"] or not measure or row["result"] == "defect":
                continue
            value, limit = number(row["value"]), number(measure["limit"])
            below = measure["sense"] == "not below"
            if value < limit if below else value > limit:
                out.add((row["item"], row["on"], row["line"]))
        return out

    def runs(self, key, shortest):
        """[(item, first, last, value, length)] of one figure written again and again."""
        out, of_item = [], {}
        for row in sorted(self.lines, key=lambda r: (r["item"], r["on"], r["at"])):
            if row["line"] == key and row["value"]:
                of_item.setdefault(row["item"], []).append((row["on"], row["value"]))
        for item, values in of_item.items():
            start = 0
            for n in range(1, len(values) + 1):
                if n == len(values) or values[n][1] != values[start][1]:
                    if n - start >= shortest:
                        out.append((item, values[start][0], values[n - 1][0], values[start][1],
                                    n - start))
                    start = n
        return out

    def found_wrong(self):
        """{(instrument, day): the day of the last good check before} of checks that failed."""
        out = {}
        for row in self.books.checks:
            if row.get("found") == "fail":
                before = [c["on"] for c in self.books.checks
                          if c["instrument"] == row["instrument"] and c["on"] < row["on"]
                          and c["result"] == "pass"]
                out[(row["instrument"], row["on"])] = max(before)
        return out

    def looked_back(self, instrument, first, last):
        """Rows of the sheets with an instrument between two checks, their days included."""
        columns = ("meter", "dosimeter", "ratemeter")
        return [r for r in self.books.rows if first <= r["day"] <= last
                and instrument in (r[c] for c in columns)]

    def held_by(self, device, day):
        """The source that the exchanges put into a device by a day."""
        mine = [r for r in self.loads if r["device"] == device and r["on"] <= day]
        return max(mine, key=lambda r: r["on"])["source"]

    def cycles(self, unit, first, day):
        """Exposures on the sheets of a control unit from one day on and before another."""
        return sum(int(h["exposures"]) for h in self.books.sheets.values()
                   if h["control_unit"] == unit and first <= h["day"] < day)

    def series(self, unit):
        """[(day, cycles, hundredths of a millimetre)] of the drive cable that is fitted last."""
        fitted = max(p["installed_on"] for p in self.parts
                     if p["equipment"] == unit and p["component"] == "drive cable")
        return [(r["on"], self.cycles(unit, fitted, r["on"]), float(number(r["value"]) * 100))
                for r in self.lines if r["item"] == unit and r["line"] == "cable-diameter"
                and r["on"] >= fitted]


class Line:
    """Least squares by the school formulas, against cycles."""

    def __init__(self, points):
        self.points = points
        xs, ys = [x for _, x, _ in points], [y for _, _, y in points]
        n = len(points)
        self.n, self.x, self.y = n, sum(xs) / n, sum(ys) / n
        self.sxx = sum((x - self.x) ** 2 for x in xs)
        self.slope = sum((x - self.x) * (y - self.y) for x, y in zip(xs, ys)) / self.sxx
        left = sum((y - self.at(x)) ** 2 for x, y in zip(xs, ys))
        self.residual = (left / (n - 2)) ** 0.5
        self.sd = max(self.residual, GAUGE_SD)

    def at(self, x):
        """The line's value."""
        return self.y + self.slope * (x - self.x)

    def wide(self, x):
        """Standard error of the next single measure there."""
        return self.sd * (1 + 1 / self.n + (x - self.x) ** 2 / self.sxx) ** 0.5

    def band(self, x):
        """The two-sided 95 % prediction band."""
        wide = TWO_SIDED[self.n - 2] * self.wide(x)
        return self.at(x) - wide, self.at(x) + wide

    def likely(self):
        """Cycles at which the line reaches the limit, rounded down."""
        return int(self.x + (LIMIT - self.y) / self.slope)

    def earliest(self):
        """Whole cycles from the last point on at which the one-sided bound is at the limit."""
        x = self.points[-1][1]
        while self.at(x) - ONE_SIDED[self.n - 2] * self.wide(x) > LIMIT:
            x += 1
        return x


def day_of_cycles(maintenance, unit, first, cycles):
    """The first day on which the sheets reach so many cycles, or None."""
    total = 0
    heads = [h for h in maintenance.books.sheets.values()
             if h["control_unit"] == unit and h["day"] >= first]
    for head in sorted(heads, key=lambda h: (h["day"], h["begins"])):
        total += int(head["exposures"])
        if total >= cycles:
            return head["day"]
    return None


def ordinal(day):
    """A day's number, to count days with."""
    return date.fromisoformat(day).toordinal()
