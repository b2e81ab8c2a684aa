"""The maintenance's part of README.md, worked out by `hand_maintenance` from the written files."""

from pathlib import Path

from .hand_maintenance import ONE_SIDED, Line, Maintenance, day_of_cycles, ordinal
from .readback import HALF_LIFE, decayed

FITTED = "2025-02-26"
RETRIEVAL = "2026-05-19"


def wear_table(maintenance, points):
    """A row a measure; the line from the fourth on."""
    out = []
    for n, (day, cycles, value) in enumerate(points, start=1):
        cells = [day, str(cycles), f"{value:.0f}", "", "", "", "", ""]
        if n >= 4:
            line = Line(points[:n])
            low, high = line.band(cycles)
            reached = day_of_cycles(maintenance, "CU-02", FITTED, line.likely())
            cells[3:] = [f"{line.slope * 1000:.2f}", f"{line.at(cycles):.1f}",
                         f"{low:.1f} to {high:.1f}", str(line.likely()), reached]
        out.append("| " + " | ".join(cells) + " |")
    return "\n".join(out)


def curies(maintenance, source, day):
    """What a source assembly had left on a day, as text."""
    row = maintenance.books.equipment[source]
    full, days, left = decayed(row, day)
    return f"{full} x 2^(-{days}/{HALF_LIFE[row['nuclide']]}) = {left:.1f} Ci"


def exchanges(maintenance):
    """A row an exchange."""
    out, held = [], {}
    for row in sorted(maintenance.loads, key=lambda r: r["on"]):
        device, day, new = row["device"], row["on"], row["source"]
        old = held.get(device)
        held[device] = new
        if old:
            out.append(f"| {day} | {device} | {old} | {curies(maintenance, old, day)} | {new} "
                       f"| {curies(maintenance, new, day)} |")
    return "\n".join(out)


def by_hand(points):
    """The numbers of the school formulas for the first four measures."""
    four = points[:4]
    line = Line(four)
    sxy = sum((x - line.x) * (y - line.y) for _, x, y in four)
    end = four[-1][1]
    factor, wide = ONE_SIDED[2], line.wide(end)
    return {"mx": f"{line.x:.2f}", "my": f"{line.y:.2f}", "sxx": f"{line.sxx:.2f}",
            "sxy": f"{sxy:.2f}", "slope": f"{line.slope * 1000:.3f}", "limit4": line.likely(),
            "t": factor, "wide": f"{wide:.2f}", "low": f"{line.at(end) - factor * wide:.1f}"}


def facts(root):
    """The numbers of the text, by its names."""
    maintenance = Maintenance(root)
    books = maintenance.books
    points = [p for p in maintenance.series("CU-02") if p[0] < RETRIEVAL]
    values = by_hand(points)
    day4 = day_of_cycles(maintenance, "CU-02", FITTED, values["limit4"])
    runs = maintenance.runs("device-surface-rate", 3)
    copied = next(run for run in runs if run[4] > 3)
    wrong = maintenance.found_wrong()
    pen = maintenance.looked_back("PD-06", wrong[("PD-06", "2025-12-31")], "2025-12-31")
    shown = sum(books.tenths(row) for row in pen)
    meter = maintenance.looked_back("SM-07", wrong[("SM-07", "2025-12-02")], "2025-12-02")
    sheets = list(dict.fromkeys(row["sheet"] for row in meter))
    return values | {
        "looks": len(maintenance.looks), "lines": len(maintenance.lines),
        "quarterly": sum(key[3] == "quarterly" for key in maintenance.looks),
        "rides": sum(h["work"] == "transport" for h in books.sheets.values()),
        "copied": copied[3], "copies": copied[4], "threes": sum(run[4] == 3 for run in runs),
        "table": wear_table(maintenance, points), "day4": day4,
        "before": ordinal(RETRIEVAL) - ordinal(day4),
        "cycles_before": maintenance.cycles("CU-02", FITTED, "2026-05-20") - values["limit4"],
        "latest": max(Line(points[:n]).likely() for n in range(4, len(points) + 1)),
        "pd_count": len(pen), "pd_sum": f"{shown / 10:g}",
        "pd_true": f"{shown / 7.5:.2f}", "pd_more": f"{shown / 7.5 - shown / 10:.2f}",
        "sm_count": len(sheets), "sm_sheets": ", ".join(f"`{s}`" for s in sheets),
        "exchanges": exchanges(maintenance),
    }


def hidden(root):
    """The text with its numbers."""
    text = Path(__file__).with_name("hidden_maintenance.md").read_text(encoding="utf-8")
    return text.format(**facts(root)).strip()
