"""The written files read again, and plain sums over them.

Nothing here is shared with the parts that made the files: a mistake there shows here. Doses are
whole tenths of a mrem (1 uSv is 0.1 mrem, and 1 mR counts as 1 mrem by convention).
"""

import csv
from datetime import date
from fractions import Fraction
from pathlib import Path

HELD = {"end below start", "above range", "unknown dosimeter", "unknown person"}
HALF_LIFE = {"Ir-192": 73.829, "Se-75": 119.78, "Co-60": 1925.3}


def count(cell):
    """The number of a reading, with or without its unit."""
    return int(cell.split()[0])


def tables(folder, stem):
    """All rows of `stem*.csv` below a folder, in the order of the file names."""
    rows = []
    for path in sorted(Path(folder).glob(f"{stem}*.csv")):
        with open(path, encoding="utf-8", newline="") as handle:
            for row in csv.DictReader(handle):
                rows.append(row | {"file": path.name})
    return rows


def within(row):
    """Whether one point of a check is within 20 % (a ratemeter sounds from 400 to 600)."""
    true = Fraction(row["true"].split()[0])
    if not row["reads"]:
        return 400 <= true <= 600
    return abs(Fraction(row["reads"].split()[0]) - true) * 5 <= true


def assessed(points):
    """Checks with their points, as rows of plain checks: what counts is how they were left."""
    sides = {}
    for row in points:
        key = tuple(row[c] for c in ("instrument", "on", "type", "performed_by", "certificate"))
        sides.setdefault(key, {}).setdefault(row["as"], []).append(within(row))
    names = ("instrument", "on", "type", "performed_by", "certificate")
    return [dict(zip(names, key)) | {
        "found": "pass" if all(side["found"]) else "fail",
        "result": "pass" if all(side.get("left", side["found"])) else "fail"}
        for key, side in sides.items()]


class Books:
    """Everything that the office handed in."""

    def __init__(self, folder):
        self.folder = folder
        root = Path(folder)
        self.workers = {r["id"]: r for r in tables(root / "people", "workers")}
        self.prior = tables(root / "people", "prior-dose")
        self.missing = tables(root / "people", "missing-quarters")
        self.pregnancies = tables(root / "people", "pregnancies")
        self.roles = tables(root / "people", "roles")
        self.qualifications = tables(root / "people", "qualifications")
        self.jobs = {r["id"]: r for r in tables(root / "jobs", "jobs")}
        self.instruments = {r["id"]: r for r in tables(root / "instruments", "instruments")}
        self.calibrations = tables(root / "instruments", "calibrations")
        self.checks = tables(root / "instruments", "checks") + assessed(self.calibrations)
        self.equipment = {r["id"]: r for r in tables(root / "equipment", "equipment")}
        self.withdrawals = tables(root / "equipment", "withdrawals")
        self.returns = tables(root / "equipment", "returns")
        rows = tables(root / "sheets", "")
        self.rows = sorted(rows, key=lambda r: (r["day"], r["begins"], r["sheet"]))
        self.sheets = {r["sheet"]: r for r in self.rows}

    def held(self, row):
        """Why a row is doubtful and held, or None."""
        if row["worker"] not in self.workers:
            return "unknown person"
        instrument = self.instruments.get(row["dosimeter"])
        if instrument is None:
            return "unknown dosimeter"
        if row["end"] and count(row["end"]) < count(row["start"]):
            return "end below start"
        if row["end"] and count(row["end"]) > int(instrument["range"].split()[0]):
            return "above range"
        return None

    def tenths(self, row):
        """What one row says, in tenths of a mrem; None when it has no end."""
        if not row["end"]:
            return None
        step = 1 if self.instruments[row["dosimeter"]]["unit"] == "uSv" else 10
        return (count(row["end"]) - count(row["start"])) * step

    def shift_doses(self, worker):
        """[(day, sheet, tenths)] of a person without held rows and rows without an end.

        Parts of one dosimeter add; of two dosimeters on one shift the higher counts.
        """
        by_sheet = {}
        for row in self.rows:
            if row["worker"] != worker or self.held(row) or self.tenths(row) is None:
                continue
            each = by_sheet.setdefault((row["day"], row["sheet"]), {})
            each[row["dosimeter"]] = each.get(row["dosimeter"], 0) + self.tenths(row)
        return [(day, sheet, max(each.values())) for (day, sheet), each in by_sheet.items()]

    def total(self, worker, first, last):
        """Sum of shift doses over days, ends included."""
        return sum(t for day, _, t in self.shift_doses(worker) if first <= day <= last)

    def last_check(self, instrument, day):
        """The last passed check of an instrument on or before a day."""
        days = [c["on"] for c in self.checks
                if c["instrument"] == instrument and c["on"] <= day and c["result"] == "pass"]
        return max(days, default=None)


def decayed(row, day):
    """(Ci at the reference date, days since, Ci on a day) of a source of the register."""
    full = int(row["activity"].split()[0])
    days = (date.fromisoformat(day) - date.fromisoformat(row["activity_on"])).days
    return full, days, full * 2 ** (-days / HALF_LIFE[row["nuclide"]])


def months_after(day, months):
    """The same day of the month so many months on, or that month's last day."""
    start = date.fromisoformat(day)
    index = start.year * 12 + start.month - 1 + months
    year, month = divmod(index, 12)
    for number in range(start.day, 27, -1):
        try:
            return date(year, month + 1, number).isoformat()
        except ValueError:
            continue
    return date(year, month + 1, start.day).isoformat()


def mrem(tenths):
    """Tenths of a mrem as text."""
    whole, rest = divmod(abs(tenths), 10)
    sign = "-" if tenths < 0 else ""
    return f"{sign}{whole}.{rest}" if rest else f"{sign}{whole}"
