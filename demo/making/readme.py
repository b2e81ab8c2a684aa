"""The parts of README.md that are worked out from the files, between marked lines."""

import re
import textwrap
from datetime import date
from pathlib import Path

from . import check, readback, readme_badges, readme_maintenance
from .readback import mrem


def percent(tenths, limit):
    """A share of a limit in mrem, rounded up so that it never looks lower."""
    permille = -(-tenths * 100 // limit)
    return f"{permille // 10}.{permille % 10} %"


def counts(root):
    """How much there is."""
    books = readback.Books(root)
    shifts = {(r["sheet"], r["worker"]) for r in books.rows}
    kinds = {}
    for head in books.sheets.values():
        kinds[head["work"]] = kinds.get(head["work"], 0) + 1
    doses = [t for w in books.workers for _, _, t in books.shift_doses(w)]
    low = sum(t <= 100 for t in doses) * 100 // len(doses)
    high = sum(200 <= t <= 600 for t in doses)
    sorts = {}
    for row in list(books.equipment.values()) + list(books.instruments.values()):
        sorts[row["type"]] = sorts.get(row["type"], 0) + 1
    lines = [
        f"- {len(books.sheets)} sheets, {len(books.rows)} rows, {len(shifts)} person-shifts "
        f"from {min(r['day'] for r in books.rows)} to {max(r['day'] for r in books.rows)}",
        "- sheets by kind of work: " + ", ".join(f"{k} {n}" for k, n in sorted(kinds.items())),
        f"- {low} of 100 person-shifts are at or below 10 mrem; {high} lie from 20 to 60 mrem",
        "- registers: " + ", ".join(f"{k} {n}" for k, n in sorted(sorts.items()))
        + f", worker {len(books.workers)}, job {len(books.jobs)}, check {len(books.checks)}",
    ]
    return "\n".join(textwrap.fill(line, 100, subsequent_indent="  ") for line in lines)


def prior_tenths(books, worker, first):
    """Prior deep dose of the period that begins on a day, in tenths of a mrem."""
    return sum(10 * int(r["deep"].split()[0]) for r in books.prior
               if r["worker"] == worker and r["first_day"] == first)


def totals(root):
    """Each person's years."""
    books = readback.Books(root)
    out = ["| person | name | 2024, prior | Jan-Feb 2025, prior | shifts 2025 | by shifts 2025 "
           "| year 2025 | shifts 2026 | by shifts 2026 to 31 May |",
           "|---|---|---:|---:|---:|---:|---:|---:|---:|"]
    for worker in sorted(books.workers):
        early = prior_tenths(books, worker, "2024-01-01")
        months = prior_tenths(books, worker, "2025-01-01")
        shifts = books.shift_doses(worker)
        number = {y: sum(d.startswith(y) for d, _, _ in shifts) for y in ("2025", "2026")}
        one = books.total(worker, "2025-01-01", "2025-12-31")
        two = books.total(worker, "2026-01-01", "2026-12-31")
        out.append(f"| {worker} | {books.workers[worker]['name']} | {mrem(early)} "
                   f"| {mrem(months)} | {number['2025']} | {mrem(one)} | {mrem(one + months)} "
                   f"| {number['2026']} | {mrem(two)} |")
    return "\n".join(out)


def shift(books, sheet, worker):
    """A person's dose on a sheet, as text."""
    return mrem(next(t for _, s, t in books.shift_doses(worker) if s == sheet))


def facts(books):
    """The numbers of the hidden things, by the names that the README uses."""
    year = {w: books.total(w, "2026-01-01", "2026-12-31") for w in books.workers}
    conception, notice = (books.pregnancies[0][k] for k in ("conception_on", "notice_on"))
    day = date.fromisoformat(notice).toordinal() - 1
    before = books.total("W08", conception, date.fromordinal(day).isoformat())
    budget = max(5000 - before, 500)
    after = books.total("W08", notice, "2026-06-05")
    hire = books.total("W14", "2025-01-01", "2025-12-31")
    source = books.equipment[books.sheets["A-2026-05-19-day"]["source"]]
    curies, number, now = readback.decayed(source, "2026-05-19")
    used = {item: {} for item in ("SM-04", "PD-06")}
    for item, row in check.overdue_rows(books):
        used.setdefault(item, {})[row["sheet"]] = row
    quarters = {}
    for worker in books.workers:
        for when, _, tenths in books.shift_doses(worker):
            key = (worker, f"{when[:4]} Q{(int(when[5:7]) + 2) // 3}")
            quarters[key] = quarters.get(key, 0) + tenths
    for worker in books.workers:
        early = prior_tenths(books, worker, "2025-01-01")
        if (worker, "2025 Q1") in quarters:
            quarters[(worker, "2025 Q1")] += early
    above = [f"{w} {q} {mrem(t)}" for (w, q), t in sorted(quarters.items()) if t > 3750]
    night = "C-2025-12-31-night"
    day_rows = {(r["worker"], r["part"]): r for r in books.rows
                if r["sheet"] == "A-2026-05-19-evening-retrieval"}
    cycles = {}
    for head in books.sheets.values():
        unit = head["control_unit"]
        cycles[unit] = cycles.get(unit, 0) + int(head["exposures"])
    return {
        "w07_next": min(d for d, _, _ in books.shift_doses("W07") if d > "2025-10-14"),
        "w09_next": min(d for d, _, _ in books.shift_doses("W09") if d > "2026-01-21"),
        "w04": mrem(year["W04"]), "w11": mrem(year["W11"]),
        "w11_share": percent(year["W11"], 2000), "w11_left": mrem(20000 - year["W11"]),
        "w11_limit": percent(year["W11"], 5000),
        "w11_shifts": sum(d >= "2026" for d, _, _ in books.shift_doses("W11")),
        "w11_safe": mrem(year["W11"] + 380),
        "before": mrem(before), "budget": mrem(budget), "after": mrem(after),
        "left": mrem(budget - after), "sum": mrem(before + after),
        "before_list": " + ".join(mrem(t) for d, _, t in books.shift_doses("W08")
                                  if conception <= d < notice and t),
        "after_list": " + ".join(mrem(t) for d, _, t in books.shift_doses("W08")
                                 if d >= notice and t) or "0",
        "hire": mrem(hire), "hire_left": mrem(25000 - hire),
        "hire_site": mrem(20000 - hire),
        "meter_sheets": ", ".join(f"`{s}`" for s in used["SM-04"]),
        "meter_count": len(used["SM-04"]),
        "pd_sheets": ", ".join(f"`{s}`" for s in used["PD-06"]), "pd_count": len(used["PD-06"]),
        "pd_sum": mrem(sum(books.tenths(r) for r in used["PD-06"].values())),
        "n11": shift(books, night, "W11"), "n13": shift(books, night, "W13"),
        "n14": shift(books, night, "W14"),
        "source": source["id"], "curies": curies, "days": number,
        "now": f"{now:.1f}",
        "p1": mrem(books.tenths(day_rows[("W01", "1")])),
        "p2": mrem(books.tenths(day_rows[("W01", "2")])),
        "above": "; ".join(above), "cycles": cycles["CU-02"],
        "gaps": {r["sheet"]: r for r in books.rows if r["dosimeter"].startswith("EL")},
    }


def wrapped(text):
    """Paragraphs filled to 100 columns; headings and tables as they are."""
    parts = []
    for part in text.split("\n\n"):
        if part[0] not in "#|":
            part = textwrap.fill(" ".join(part.split()), 100, break_on_hyphens=False)
        parts.append(part)
    return "\n\n".join(parts)


def filled(page, root):
    """The page with its marked parts made new."""
    books = readback.Books(root)
    values = facts(books)
    gaps = values.pop("gaps")
    for name, sheet in (("gap1", "A-2025-06-24-day"), ("gap2", "C-2025-09-09-day"),
                        ("gap3", "B-2026-04-21-day")):
        rows = [r for r in books.rows if r["dosimeter"] == gaps[sheet]["dosimeter"]]
        now = next(i for i, r in enumerate(rows) if r["sheet"] == sheet)
        values[name] = (f"last end {rows[now - 1]['end']} on `{rows[now - 1]['sheet']}`, "
                        f"start {rows[now]['start']}, end {rows[now]['end']}")
    el2 = next(r for r in books.rows
               if r["sheet"] == "B-2025-10-14-day" and r["worker"] == "W07")
    values["el2"] = f"{el2['end']} - {el2['start']}"
    hidden = Path(__file__).with_name("hidden.md").read_text(encoding="utf-8")
    made = {"counts": counts(root), "totals": totals(root),
            "record": readme_badges.totals(root),
            "hidden": wrapped(hidden.format(**values).strip()),
            "badges": wrapped(readme_badges.hidden(root)),
            "maintenance": wrapped(readme_maintenance.hidden(root))}
    for name, text in made.items():
        page = re.sub(f"(<!-- made: {name} -->\n).*?(<!-- end -->)",
                      lambda m, text=text: m.group(1) + text + "\n" + m.group(2), page,
                      flags=re.S)
    return page

