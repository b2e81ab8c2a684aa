"""The second reckoning of the board."""

from datetime import date, datetime, timedelta, timezone

from . import company
from .readback import count, decayed, months_after

TODAY = company.TODAY.isoformat()
# The moment at which the board is read: 15:00 UTC.
NOW = datetime(2026, 6, 5, 15, tzinfo=timezone.utc)
CHECK_MONTHS = {"survey meter": 6}
TRAINED = {"refresher training": 12, "job performance inspection": 6, "hazmat training": 36,
           "unescorted access": 120}
SHOWN = {"job performance inspection": "inspection of job performance",
         "unescorted access": "approval for unescorted access"}


def board(page, dosimetry, maintenance):
    """The board of the demo's day."""
    books = dosimetry.books
    people = {w: reasons(dosimetry, maintenance, w) for w in sorted(books.workers)}
    stay = [w for w, (stop, _) in people.items() if stop]
    sets = sets_of(maintenance)
    stopped = [s for s in sets if against(dosimetry, maintenance, s)]
    page.say("board", f"{TODAY} {len(stay)} {len(people)} {len(stopped)} {len(sets)}")
    to_do(page, dosimetry, maintenance, people, sets)
    for worker, (_, act) in people.items():
        if act:
            page.say("somebody acts", worker)
            for place, text, why in act:
                page.say(place, text, why)
    for worker, (stop, act) in people.items():
        if not stop and not act:
            page.say("nothing against", worker)
    for one in stopped + [s for s in sets if s not in stopped]:
        # A row of the table: first lines first, then what stands below in its cells.
        page.say("set", one["device"])
        page.say("source, decayed", f"{one['source']} {one['nuclide']} {one['curies']} Ci")
        why = [" ".join([*pieces, words]) for pieces, words in against(dosimetry, maintenance, one)]
        for words in why[:1]:
            page.say("against the set", words)
        page.say("with it", " ".join(one["with"]))
        for words in why[1:]:
            page.say("against the set", words)
    categories(page, sets, maintenance)
    instruments(page, books)
    due(page, dosimetry, maintenance)
    clocks(page, dosimetry)
    return page


def to_do(page, dosimetry, maintenance, people, sets):
    """What stands first: stops, what is due within a week, the part that wears out next, and the
    decisions that wait."""
    for worker, (stop, _) in people.items():
        for place, text, why in stop:
            if place == "lapsed since":
                page.say("stays in", worker)
            page.say(place, text, why)
    for one in sets:
        for pieces, words in against(dosimetry, maintenance, one)[:1]:
            page.say("stays in", f"{one['device']} {pieces[0]} {words}")
    week = (company.TODAY + timedelta(days=7)).isoformat()
    for day, about, _ in falling_due(dosimetry, maintenance):
        if day <= week:
            page.say("due", f"{about} {day}")
    limit = maintenance.items["cable-diameter"]["measure"]["limit"]
    measured = {}
    for row in sorted(maintenance.lines, key=lambda r: r["on"]):
        if row["line"] == "cable-diameter" and row["value"] and row["when"] != "after an event":
            measured[row["item"]] = row["value"]
    past = [(unit, value) for unit, value in sorted(measured.items())
            if float(value.split()[0]) < float(limit.split()[0])]
    limit = f"{float(limit.split()[0]):g}"
    page.say("past its limit", f"{past[0][0]} {past[0][1]} {limit}")
    books = dosimetry.books
    nobodys = [key for key, row in dosimetry.held.items()
               if key[0] == "row" and key[1] not in dosimetry.issues]
    held = len(held_sheets(books)) + sum(key[0] != "row" for key in dosimetry.held)
    page.say("held", str(held))
    page.say("of nobody", str(len(nobodys)))


def held_sheets(books):
    """Rows of sheets that are on hold."""
    return [row for row in books.rows if books.held(row)]


def reasons(dosimetry, maintenance, worker):
    """([what stops a person], [what somebody has to act on]) as (place, words, why)."""
    books, stop, act = dosimetry.books, [], []
    for _, lapsed, days in lapses(dosimetry, worker):
        stop.append(("lapsed since", lapsed, ""))
        if days:
            stop.append(("worked since", f"{len(days)} {' '.join(days[:6])}", ""))
            if len(days) > 6:
                stop.append(("and more", str(len(days) - 6), ""))
    badges = [n for n, row in dosimetry.issues.items() if row["worker"] == worker
              and row["type"] == "whole body" and n not in dosimetry.last]
    for number in badges:
        last = dosimetry.issues[number]["last_day"]
        if last < TODAY:
            act.append(("badge overdue", f"{number} {last}", ""))
    act += held_of(dosimetry, worker)
    for item, day in off_scale(books).items():
        if item[1] == worker:
            act.append(("off scale", f"{item[0]} {day}", ""))
    # Whoever acts was with a source of category 2 within the year.
    if acts(dosimetry, worker) and not any(
            r["worker"] == worker and r["type"] == "unescorted access"
            for r in books.qualifications):
        act.append(("no approval for a quantity of category", "2", "rule"))
    return stop, act


def lapses(dosimetry, worker):
    """[(sort, first day without, days worked since)] of what the person's role needs."""
    if not acts(dosimetry, worker):
        return
    for sort, months in TRAINED.items():
        # One that was examined was seen at work.
        sorts = (sort, "practical examination") if sort == "job performance inspection" else (sort,)
        done = [r["on"] for r in dosimetry.books.qualifications
                if r["worker"] == worker and r["type"] in sorts]
        if not done:
            continue
        until = months_after(max(done), months)
        if until < TODAY:
            since = (date.fromisoformat(until) + timedelta(days=1)).isoformat()
            days = {r["day"] for r in dosimetry.books.rows
                    if r["worker"] == worker and since <= r["day"] <= TODAY}
            yield sort, since, sorted(days)


def acts(dosimetry, worker):
    """Whether training and inspections are asked of the person: radiographers, assistants, and an
    RSO or designee who took part in radiography within a year."""
    ago = f"{int(TODAY[:4]) - 1}{TODAY[4:]}"
    by_work = any(r["worker"] == worker and r["work"] == "radiography" and ago <= r["day"] <= TODAY
                  for r in dosimetry.books.rows)
    return role_of(dosimetry.books, worker) in ("radiographer", "assistant") or by_work


def role_of(books, worker):
    """The role on the demo's day."""
    role = books.workers[worker]["role"]
    for change in sorted(books.roles, key=lambda r: r["from"]):
        if change["worker"] == worker and change["from"] <= TODAY:
            role = change["role"]
    return role


def held_of(dosimetry, worker):
    """What of a person waits for a ruling."""
    books, out = dosimetry.books, []
    for row in held_sheets(books):
        if row["worker"] != worker:
            continue
        place, why, item = "on hold", books.held(row), row["dosimeter"]
        if why == "unknown dosimeter":
            out.append((place, f"{row['sheet']} {item}", ""))
            out.append(("proposed instead", "* * *", "spelling"))
        elif why == "end below start":
            out.append((place, f"{row['sheet']} {item} {count(row['end'])} {count(row['start'])}",
                        ""))
        else:
            most = books.instruments[item]["range"]
            out.append((place, f"{row['sheet']} {item} {count(row['end'])} {count(most)}", ""))
    for key, row in dosimetry.held.items():
        if key[0] == "row" and dosimetry.issues.get(key[1], {"worker": ""})["worker"] == worker:
            _, number, report = key
            first = dosimetry.issues[number]["first_day"]
            out.append(("report on hold", f"{report} {number} {first}", ""))
            if number in dosimetry.results:
                out.append(("first report", dosimetry.results[number]["report"], ""))
                out.append(("its entry", "*", "entry"))
                out.append(("of badge", f"{number} {first}", ""))
            else:
                worn = dosimetry.days(number)[1]
                out.append(("before its end", f"{row['reported_on']} {number} {worn}", ""))
        elif isinstance(key, str) and dosimetry.issues[key]["worker"] == worker:
            mine = dosimetry.issues[key]
            other = next(n for n, r in dosimetry.issues.items() if n != key
                         and r["worker"] == worker and r["type"] == mine["type"]
                         and r["first_day"] <= mine["last_day"]
                         and mine["first_day"] <= dosimetry.days(n)[1])
            first, last = dosimetry.days(other)
            out.append(("badge on hold", f"{key} {mine['first_day']} {other} {first} {last}", ""))
    return out


def off_scale(books):
    """{(dosimeter, wearer): day} of those that went off scale and were not checked since."""
    out = {}
    for row in books.rows:
        last = books.last_check(row["dosimeter"], TODAY)
        if row["off_scale"] == "yes" and (last is None or last <= row["day"]):
            out[(row["dosimeter"], row["worker"])] = row["day"]
    return out


def sets_of(maintenance):
    """The devices with what they were last used with, and their sources."""
    books, out = maintenance.books, []
    for device, row in sorted(books.equipment.items()):
        if row["type"] != "exposure device":
            continue
        last = [h for h in books.sheets.values() if h["device"] == device and h["control_unit"]]
        last = max(last, key=lambda h: (h["day"], h["begins"]))
        source = maintenance.held_by(device, TODAY)
        register = books.equipment[source]
        now = decayed(register, TODAY)[2]
        out.append({"device": device, "source": source, "nuclide": register["nuclide"],
                    "with": [last["control_unit"], *last["guide_tubes"].split()],
                    "curies": f"{now:.1f}".removesuffix(".0")})
    return out


# 10 CFR 37, App. A, in Ci: 0.8, 2 and 0.3 TBq.
CATEGORY_2 = {"Ir-192": 0.8 / 0.037, "Se-75": 2 / 0.037, "Co-60": 0.3 / 0.037}


def fractions(rows, day):
    """The most that sources may be when a day begins, as a sum of fractions of category 2. The
    hour of a certificate is not told: its day counts as over."""
    eve = (date.fromisoformat(day) - timedelta(days=1)).isoformat()
    return sum(decayed(row, eve)[2] / CATEGORY_2[row["nuclide"]] for row in rows)


def category(rows):
    """The words with a digit of a category: its number, and the first day below it."""
    if fractions(rows, TODAY) < 1:
        return "2"
    assert fractions(rows, TODAY) < 100
    day = company.TODAY
    while fractions(rows, day.isoformat()) >= 1:
        day += timedelta(days=1)
    return f"2 {day.isoformat()}"


def categories(page, sets, maintenance):
    """The category of each source in its device, and of all together."""
    page.say("category under", "10 37 20", "rule")
    rows = {one["source"]: maintenance.books.equipment[one["source"]] for one in sets}
    for one in sets:
        page.say("category in", f"{one['device']} {one['source']} {category([rows[one['source']]])}")
    page.say("category together", f"{' '.join(sorted(rows))} {category(rows.values())}")


def against(dosimetry, maintenance, one):
    """[(pieces, words)] of what keeps a set from being used: withdrawn, or in an open event."""
    books, found = maintenance.books, {}
    gone = {}
    for row in books.withdrawals:
        back = [r["on"] for r in books.returns if r["item"] == row["item"] and r["on"] >= row["on"]]
        if not back:
            gone[row["item"]] = row["reason"]
    for piece in [one["device"], *one["with"], one["source"]]:
        if piece in gone:
            found.setdefault(gone[piece], []).append(piece)
        else:
            for name, day, words in events(dosimetry):
                looked = any(key[0] == piece and key[3] == "after an event" and key[1] >= day
                             for key in maintenance.looks)
                if piece in words and not looked:
                    found.setdefault(f"{name}, in an event", []).append(piece)
    return [(pieces, words) for words, pieces in found.items()]


def events(dosimetry):
    """[(name, day, words of the command)] of the script's events, by the order of opening."""
    out = []
    for words in dosimetry.steps:
        if words[:2] == ["event", "open"]:
            occurred = words[words.index("--occurred") + 1]
            out.append((f"E-{len(out) + 1}", occurred.split()[-1][:10], words))
    return out


def check_until(books, item):
    """The last day on which an instrument is in date, or None."""
    last = books.last_check(item, TODAY)
    return last and months_after(last, CHECK_MONTHS.get(books.instruments[item]["type"], 12))


def instruments(page, books):
    """Each sort of instrument: how many are in date, the first to end, and what is not."""
    off = {item: day for (item, _), day in off_scale(books).items()}
    for sort in sorted({r["type"] for r in books.instruments.values()}):
        items = sorted(i for i, r in books.instruments.items() if r["type"] == sort)
        until = {i: check_until(books, i) for i in items}
        good = [i for i in items if until[i] and until[i] >= TODAY and i not in off]
        first = min(good, key=lambda i: (until[i], i))
        page.say(sort, f"{len(good)} {until[first]} {first}")
        for item in items:
            if item in off:
                page.say("off scale", f"{item} {off[item]}")
            elif item not in good:
                since = date.fromisoformat(until[item]) + timedelta(days=1)
                page.say("overdue", f"{item} {since}")


def falling_due(dosimetry, maintenance):
    """[(day, about, what)] of what ends within 30 days."""
    books = dosimetry.books
    out = [(check_until(books, i), i, "calibration" if "meter" in r["type"] else "response check")
           for i, r in books.instruments.items()]
    for worker in books.workers:
        if acts(dosimetry, worker):
            for sort, months in TRAINED.items():
                sorts = (sort, "practical examination") if sort == "job performance inspection" else (
                    sort,)
                done = [r["on"] for r in dosimetry.books.qualifications
                        if r["worker"] == worker and r["type"] in sorts]
                out += [(months_after(max(done), months), worker, SHOWN.get(sort, sort))
                        for _ in done[:1]]
        if role_of(books, worker) == "radiographer":
            ends = [r["until"] for r in dosimetry.books.qualifications
                    if r["worker"] == worker and r["type"] == "certification"]
            out.append((max(ends), worker, "certification"))
    out += maintenance_due(maintenance)
    edge = (company.TODAY + timedelta(days=30)).isoformat()
    return sorted(x for x in out if x[0] and TODAY <= x[0] <= edge)


def maintenance_due(maintenance):
    """[(day, item, what)] of the rounds and leak tests of what is in service, and of the next look
    whether all sources are there."""
    books, out = maintenance.books, []
    last = max((r for r in maintenance.source_checks if r["type"] == "presence check"),
               key=lambda r: r["on"])
    sources = last["sources"].split()
    next_one = date.fromisoformat(last["on"]) + timedelta(days=7)
    out.append((next_one.isoformat(), f"{len(sources)} sources", "presence check"))
    gone = {r["item"] for r in books.withdrawals
            if not any(b["item"] == r["item"] and b["on"] >= r["on"] for b in books.returns)}
    for item, row in books.equipment.items():
        rounds = [key[1] for key in maintenance.looks
                  if key[0] == item and key[3] in ("quarterly", "on receipt")]
        if rounds and item not in gone:
            out.append((months_after(max(rounds), 3), item, "inspection"))
        for part, months in (("source", 6), ("shield tube", 12)):
            tests = [t["on"] for t in maintenance.leak_tests if t["item"] == item and t["part"] == part]
            held = row["type"] != "source assembly" or any(
                maintenance.held_by(d, TODAY) == item for d in {r["device"] for r in maintenance.loads})
            if tests and item not in gone and held:
                out.append((months_after(max(tests), months), item, "leak test"))
    return out


def due(page, dosimetry, maintenance):
    """What ends later than within a week, and within thirty days."""
    lines = falling_due(dosimetry, maintenance)
    week = (company.TODAY + timedelta(days=7)).isoformat()
    later = {}
    for day, about, what in lines:
        if day > week:
            later.setdefault(what, []).append(f"{about} {day[5:]}")
    page.say("more, within days", f"{sum(map(len, later.values()))} 30")
    page.say("more", " ".join(word for of_one in later.values() for word in of_one))


def left(start, days):
    """What is left of a clock of so many days from a moment in Central summer time."""
    begun = datetime.fromisoformat(start).replace(tzinfo=timezone(timedelta(hours=-5)))
    minutes = (begun + timedelta(days=days) - NOW) // timedelta(minutes=1)
    return f"{minutes // 1440} d {minutes % 1440 // 60} h"


def clocks(page, dosimetry):
    """The duties of the one open event that still run, by the moments in the script."""
    name, _, words = events(dosimetry)[5]
    flags = dict(zip(words, words[1:]))
    told = [w for w in dosimetry.steps if w[:3] == ["report", "done", name]]
    call = next(w[w.index("--at") + 1] for w in told if w[3] == "call-30-50-b")
    for start, days, rule in (
            (flags["--occurred"], 30, "10 CFR 34.101(a), (b)"),
            (flags["--occurred"], 30, "10 CFR 20.2203(a), (b)"),
            (call, 30, "10 CFR 30.50(c)(2)"),
            (flags["--discovered"], 60, "10 CFR 21.21(a)(1)-(2)")):
        page.say("clock of", name)
        page.say("under", rule, "rule")
        page.say("left", left(start, days))
