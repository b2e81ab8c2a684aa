"""The badges' part of README.md, worked out by `hand` from the written files."""

from pathlib import Path

from . import hand, readback
from .hand import mrem

YEARS = {y: (f"{y}-01-01", f"{y}-12-31") for y in ("2025", "2026")}


def prior(books, worker, first="2025-01-01"):
    """Prior deep dose of the period that begins on a day, in nSv."""
    return sum(int(r["deep"].split()[0]) * 10_000 for r in books.prior
               if r["worker"] == worker and r["first_day"] == first)


def totals(root):
    """Each person's dose of record by year."""
    dosimetry = hand.Dosimetry(root)
    out = ["| person | 2025 prior | of record | apportioned | provisional | 2025 | "
           "2026 of record | apportioned | provisional | 2026 to 5 June |",
           "|---|---:|---:|---:|---:|---:|---:|---:|---:|---:|"]
    for worker in sorted(dosimetry.books.workers):
        before = prior(dosimetry.books, worker)
        one, two = (dosimetry.account(worker, *days) for days in YEARS.values())
        cells = [before, *one.values(), before + sum(one.values()), *two.values(),
                 sum(two.values())]
        out.append(f"| {worker} | " + " | ".join(mrem(c) for c in cells) + " |")
    return "\n".join(out)


def above_quarters(dosimetry):
    """Quarters above the site's investigation level."""
    out = []
    for worker in sorted(dosimetry.books.workers):
        for year in YEARS:
            for quarter in range(4):
                days = f"{year}-{3 * quarter + 1:02}-01", f"{year}-{3 * quarter + 3:02}-31"
                dose = dosimetry.total(worker, *days)
                dose += prior(dosimetry.books, worker) if days[0] == "2025-01-01" else 0
                if dose > 375 * 10_000:
                    out.append(f"{worker} {year} Q{quarter + 1} {mrem(dose)}")
    return "; ".join(out)


def facts(root):
    """The numbers of the text, by its names."""
    d = hand.Dosimetry(root)
    books = d.books

    def result(number):
        return d.deep(number)

    def readings(number):
        return sum(x or 0 for _, x in d.readings(d.issues[number]["worker"], number))

    def month(worker, first, last):
        return d.total(worker, first, last)

    low = [f"B-25{m:02}-06" for m in range(7, 13)]
    w06 = d.account("W06", *YEARS["2025"])["of record"]
    w04, w11 = (d.account(w, *YEARS["2026"]) for w in ("W04", "W11"))
    w14 = d.account("W14", *YEARS["2025"])
    then = readings("B-2605-04") + 180 * 10_000
    before = (d.share("W08", "B-2509-08", "2025-09-15", "2025-09-30") + result("B-2510-08")
              + result("B-2511-08"))
    before_safe = result("B-2509-08") + result("B-2510-08") + result("B-2511-08")
    april = month("W08", "2026-04-01", "2026-06-05")
    budget, budget_safe = (max(500 * 10_000 - b, 500_000) for b in (before, before_safe))
    after_safe = 5 * 100_000 + april
    safe11 = d.safe("W11", *YEARS["2026"])
    held = {k[1:]: r for k, r in d.held.items() if k[0] == "row"}
    qualified = readback.tables(Path(root) / "people", "qualifications")
    seen = sorted(r["on"] for r in qualified
                  if r["worker"] == "W05" and r["type"] == "job performance inspection")
    typo = int(held[("B-2604-03", "PR-2603")]["Hp(10) mrem"])
    values = {
        "w06_2025": w06, "w06_readings": books.total("W06", *YEARS["2025"]) * 1000,
        "truck": readings("B-2506-12"), "b13": result("B-2509-13"),
        "r13": readings("B-2509-13"), "b07": result("B-2510-07"), "b91": result("B-2510-91"),
        "w07_oct": result("B-2510-07") + result("B-2510-91"), "late": result("B-2602-10"),
        "late_readings": readings("B-2602-10"), "r05": readings("B-2509-05"),
        "own11": prior(books, "W11") + month("W11", *YEARS["2025"]),
        "own13": prior(books, "W13") + month("W13", *YEARS["2025"]),
        "w03_march": month("W03", "2026-03-01", "2026-03-31"),
        "w03_april": month("W03", "2026-04-01", "2026-04-30"),
        "spare": result("B-2601-94"), "w09_jan": month("W09", "2026-01-01", "2026-01-31"),
        "w04_other": readings("B-2605-04"), "w04_then": then,
        "w04_rest": result("B-2605-04") - readings("B-2605-04"),
        "w04_record": w04["of record"], "w04_april": w04["provisional"],
        "w04": sum(w04.values()), "w04_safe": d.safe("W04", *YEARS["2026"]),
        "b11": result("B-2512-11"), "b14": result("B-2512-14"),
        "s11": d.share("W11", "B-2512-11", *YEARS["2025"]), "t11": w11["apportioned"],
        "p10": result("B-2510-08"), "p11": result("B-2511-08"), "p_april": april,
        "before": before, "before_safe": before_safe, "budget": budget,
        "budget_safe": budget_safe, "left": budget - april, "after_safe": after_safe,
        "left_safe": budget_safe - after_safe, "w14": sum(w14.values()),
        "w14_record": w14["of record"], "w14_left": 25_000_000 - sum(w14.values()),
        "w14_site": 20_000_000 - sum(w14.values()), "w11_record": w11["of record"],
        "w11_open": w11["provisional"], "w11": sum(w11.values()), "w11_safe": safe11,
        "w11_left": 20_000_000 - safe11,
    }
    texts = {name: mrem(value) for name, value in values.items()}
    days = sorted({r["day"] for r in books.rows
                   if r["worker"] == "W13" and r["day"] > "2026-05-20"})
    return texts | {
        "low": "; ".join(f"`{n}` {mrem(result(n))} against {mrem(readings(n))}" for n in low),
        "late_ytd": d.results["B-2602-10"]["YTD deep mrem"],
        "ytd11": d.results["B-2512-11"]["YTD deep mrem"],
        "ytd13": d.results["B-2512-13"]["YTD deep mrem"], "typo": typo,
        "above": above_quarters(d), "w13_days": ", ".join(days),
        "obs_first": max(day for day in seen if day < "2025-09-17"),
    }


def hidden(root):
    """The text with its numbers."""
    text = Path(__file__).with_name("hidden_badges.md").read_text(encoding="utf-8")
    return text.format(**facts(root)).strip()
