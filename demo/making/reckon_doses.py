"""The second reckoning of the statements and of the year's review."""

from datetime import date, timedelta

from . import company
from .readback import months_after

TODAY = company.TODAY.isoformat()
MREM = 10_000
QUANTITIES = ("deep", "lens", "shallow")
FORM = "NRC Form 5 (10 CFR 20.2106(c); items as in form texts of 2017 to 2023"
GIVEN = "above 100 mrem (1 mSv) (10 CFR 19.13(b))"
BANDS = (0, 100, 250, 500, 750, 1000, 2000, 3000, 4000, 5000)
HASH = "* *:*"


def shown(nsv, down):
    """To 0.1 mrem, upwards; finer where that would be a multiple of half a millirem."""
    for step in (1000, 100, 10):
        if nsv % step == 0:
            return nsv
        near = nsv // step * step + (0 if down else step)
        if near % 5000:
            return near
    return nsv


def decimal(nsv, unit):
    """A dose in a unit of so many nSv, as screens and pages have it."""
    sign, down = (-1, True) if nsv < 0 else (1, False)
    return decimals(sign * shown(abs(nsv), down), unit)


def decimals(nsv, unit):
    """A dose in a unit of so many nSv, all of its decimals."""
    sign, nsv = "-" if nsv < 0 else "", abs(nsv)
    digits = len(str(unit)) - 1
    whole, rest = divmod(nsv, unit)
    return sign + f"{whole}.{rest:0{digits}}".rstrip("0").rstrip(".")


def rem(nsv):
    """As statements print it: 10 CFR 20.2101 asks for rem, with SI beside it."""
    return f"{decimal(nsv, 10_000_000)} rem ({decimal(nsv, 1_000_000)} mSv)"


def mrem(nsv):
    """As tables print it."""
    return decimal(nsv, MREM)


def days_in(year):
    """First and last day of a year, up to the demo's day."""
    return f"{year}-01-01", min(f"{year}-12-31", TODAY)


def span(first, last):
    """Days as they are printed."""
    return first if first == last else f"{first} to {last}"


class Person:
    """What one person's files say of a span of days."""

    def __init__(self, dosimetry, worker, first, last):
        self.d, self.worker, self.first, self.last = dosimetry, worker, first, last
        self.books = dosimetry.books

    def prior(self):
        """Rows of earlier dose with this licensee in the days."""
        return [r for r in self.books.prior if r["worker"] == self.worker
                and r["employer"] == company.LICENSEE
                and r["first_day"] <= self.last and self.first <= r["last_day"]]

    def earlier(self, quantity):
        """(whole, cut): earlier dose with this licensee, in nSv; what the days cut is by days."""
        whole = cut = 0
        for row in self.prior():
            lump = int(row[quantity].split()[0]) * MREM
            begin, end = (date.fromisoformat(row[k]) for k in ("first_day", "last_day"))
            if self.first <= row["first_day"] and row["last_day"] <= self.last:
                whole += lump
                continue
            count = (end - begin).days + 1
            before = max(0, (date.fromisoformat(self.first) - begin).days)
            until = min(count, (date.fromisoformat(self.last) - begin).days + 1)
            cut += lump * until // count - lump * before // count
        return whole, cut

    def account(self, quantity="deep"):
        """{class: nSv} with this licensee."""
        sums = self.d.account(self.worker, self.first, self.last, quantity)
        whole, cut = self.earlier(quantity)
        return sums | {"earlier": whole, "apportioned": sums["apportioned"] + cut}

    def total(self, quantity="deep"):
        """All classes together."""
        return sum(self.account(quantity).values())

    def days(self, number):
        """The days of wear that lie in the span, or None; a badge still worn has no end."""
        row = self.d.issues[number]
        end = self.d.last.get(number, "9999")
        first, last = max(row["first_day"], self.first), min(end, self.last)
        return (first, last) if first <= last else None

    def badges(self, *sorts):
        """The person's badges in these days by first day, those on hold among them."""
        mine = [n for n, row in self.d.issues.items()
                if row["worker"] == self.worker and row["type"] in sorts and self.days(n)]
        return sorted(mine, key=lambda n: (self.d.issues[n]["first_day"], n))

    def waiting(self):
        """Badges without a result."""
        return [n for n in self.badges("whole body", "extremity") if n not in self.d.results]

    def rings(self):
        """nSv of the extremity badges, or None where there is no result of one."""
        found = [self.d.deep(n, "extremity") for n in self.badges("extremity")]
        return sum(x for x in found if x is not None) if found else None

    def shared(self):
        """Badges whose result the span cuts."""
        return [n for n in self.badges("whole body") if n in self.d.results and n not in self.d.held
                and not (self.first <= self.d.days(n)[0] and self.d.days(n)[1] <= self.last)]

    def reports_held(self):
        """[(badge, day, second)] of this person's reports that are on hold."""
        return [(key[1], row["reported_on"], key[1] in self.d.results)
                for key, row in self.d.held.items() if key[0] == "row"
                and self.d.issues.get(key[1], {"worker": ""})["worker"] == self.worker
                and self.days(key[1])]

    def raised(self):
        """Badges that held readings make higher on the safe side."""
        out = []
        for number in self.badges("whole body"):
            held = sum((int(r["end"].split()[0]) - int(r["start"].split()[0])) * MREM
                       for r in self.books.rows if r["worker"] == self.worker
                       and self.books.held(r) in ("above range", "unknown dosimeter")
                       and self.d.days(number)[0] <= r["day"] <= self.d.days(number)[1])
            read = sum(x or 0 for _, x in self.d.readings(self.worker, number))
            if held and number in self.d.results and read + held > self.d.deep(number):
                out.append(number)
        return out

    def alone(self):
        """Days of shifts that no badge with or without a result speaks for."""
        waits = [n for n in self.waiting() if self.d.issues[n]["type"] == "whole body"]
        return sorted(day for day, _, number in self.d.shifts(self.worker).values()
                      if self.first <= day <= self.last and number not in self.d.results
                      and not any(self.days(n)[0] <= day <= self.days(n)[1] for n in waits))

    def below(self):
        """Badges with a result below the processor's minimum, and what they span."""
        found = [n for n in self.badges("whole body", "extremity")
                 if "M" in self.d.results.get(n, {}).values()]
        spans = [self.days(n) for n in found]
        return found, min((s[0] for s in spans), default=""), max((s[1] for s in spans), default="")

    def in_event(self):
        """Whether an event of these days names the person."""
        return any(self.worker in people and self.first <= day <= self.last
                   for day, people in events_of(self.d))

    def extremity(self):
        """What item 14 says: words, and whether nobody was asked for it."""
        rings = self.rings()
        if rings is not None:
            return f"at least {rem(rings)}", False
        off = any(r["off_scale"] == "yes" for r in self.books.rows if r["worker"] == self.worker
                  and self.first <= r["day"] <= self.last)
        asked = off or self.prior() or self.in_event() or self.raised() or self.reports_held()
        return "", not asked

    def is_estimate(self):
        """Whether anything in the year's record may still change."""
        sums = self.account()
        return bool(sums["provisional"] or sums["apportioned"] or self.waiting() or self.alone()
                    or self.reports_held() or self.raised() or self.rings() is not None)


def events_of(dosimetry):
    """[(day, ids of people)] of the events in the script."""
    out = []
    for words in dosimetry.steps:
        if words[:2] == ["event", "open"]:
            occurred = words[words.index("--occurred") + 1].split()[-1]
            people = {b.split("=")[0] for a, b in zip(words, words[1:]) if a == "--person"}
            out.append((occurred[:10], people))
    return out


def statement(page, dosimetry, worker, year):
    """One person's year."""
    first, last = days_in(year)
    it, row = Person(dosimetry, worker, first, last), dosimetry.books.workers[worker]
    page.say("person and year", f"{worker} {year}")
    page.say("form", FORM, "rule")
    if last == TODAY:
        page.say("the year is not over: figures up to", last)
    begin = max(first, row["monitored_from"])
    for item in ("1", "2", "3", "4"):
        page.say("item", item, "rule")
    page.say("item", "5", "rule")
    page.say("5 date of birth", row["birth_date"])
    page.say("item", "6", "rule")
    page.say("6 monitoring period", f"{begin} to {last}")
    page.say("item", "7 8", "rule")
    page.say("8 license number", company.LICENCE)
    page.say("items", "9A 9B 10A 10B 10C 10D", "rule")
    extremity, not_monitored = it.extremity()
    for item, quantity in (("11A", "deep"), ("11B", "deep"), ("12", "lens"), ("13", "shallow")):
        page.say("item", item, "rule")
        page.say(f"{item} {quantity}", rem(it.total(quantity)))
    page.say("item", "14", "rule")
    page.say("14 extremity", extremity)
    page.say("items", "15 16 17 (11A + 15)", "rule")
    page.say("17 TEDE, the deep dose of sealed sources", rem(it.total()))
    page.say("item", "18 (11B + 16)", "rule")
    page.say("18 TODE, the same", rem(it.total()))
    page.say("items", "19 20", "rule")
    made_of(page, it)
    comments(page, it)
    if not_monitored:
        page.say("not monitored", "Form 5", "rule")
    embryo(page, it)
    above = it.total() > 100 * MREM
    page.say("to be given", GIVEN if above else "(10 CFR 19.13(b))", "rule")
    page.say("furnished under", "10 CFR part 19", "rule")
    page.say("head", "*", "entry")
    return page


def made_of(page, it):
    """The parts of the deep dose, where there are more than one or some are earlier."""
    sums = it.account()
    parts = {k: sums[k] for k in ("of record", "provisional", "earlier", "apportioned") if sums[k]}
    if len(parts) > 1 or it.prior():
        for name, nsv in parts.items():
            page.say(f"deep dose, {name}", rem(nsv))


def comments(page, it):
    """Item 19."""
    since = it.books.workers[it.worker]["monitored_from"]
    if since > it.first:
        eve = (date.fromisoformat(since) - timedelta(days=1)).isoformat()
        page.say("not covered", span(it.first, eve))
    for row in it.prior():
        page.say("earlier with this licensee", span(row["first_day"], row["last_day"]))
        page.say("its dose", rem(int(row["deep"].split()[0]) * MREM))
        page.say("its entry", "*", "entry")
    for number in it.shared():
        page.say("apportioned, in the place of", "*", "entry")
        page.say("apportioned badge", f"{number} {span(*it.d.days(number))}")
    for number in it.waiting():
        page.say("no result yet", f"{number} {span(*it.days(number))}")
    alone = it.alone()
    if alone:
        page.say("shifts by readings alone", f"{len(alone)} {span(alone[0], alone[-1])}")
    for row in it.d.determinations:
        if row["worker"] == it.worker and row["badge"] and it.days(row["badge"]) and (
                row["badge"] not in it.d.results):
            determined(page, it, row)
    for number, on, _ in it.reports_held():
        page.say("report on hold", f"{on} {number}")
        page.say("its entry", "*", "entry")
    for number in it.raised():
        page.say("on hold, the higher counts", f"{it.d.days(number)[0]} {number} "
                 + span(*it.d.days(number)))
    found, first, last = it.below()
    if found:
        which = found[0] if len(found) == 1 else str(len(found))
        page.say("below the minimum", f"{which} {span(first, last)}")


def determined(page, it, row):
    """A determination that stands until a result."""
    number = row["badge"]
    days = span(*it.d.days(number))
    page.say("provisional", days)
    page.say("its entry", "*", "entry")
    count = len(it.d.readings(it.worker, number))
    page.say("determined", f"{number} {days} {row['dose']}")
    page.say("it stands for shifts", str(count))
    page.say("their entries and its own", " ".join(["*"] * (count + 1)), "entry")


def embryo(page, it):
    """The dose of an embryo or fetus, on the safe side."""
    for row in it.books.pregnancies:
        notice, conception = row["notice_on"], row["conception_on"]
        if row["worker"] != it.worker or notice > it.last:
            continue
        eve = (date.fromisoformat(notice) - timedelta(days=1)).isoformat()
        page.say("declared", f"{conception} {notice} {it.last}")
        page.say("kept by", "(10 CFR 20.2106(e))", "rule")
        before = it.d.safe(it.worker, conception, eve)
        since = it.d.safe(it.worker, notice, it.last)
        page.say("from conception to the eve of the notice", rem(before))
        page.say("from the notice on", rem(since))
        page.say("the entire pregnancy", rem(it.d.safe(it.worker, conception, it.last)))


def together(dosimetry, first, last):
    """{class: nSv} of everybody with this licensee, and each person's deep dose."""
    sums, each = {}, {}
    for worker in sorted(dosimetry.books.workers):
        it = Person(dosimetry, worker, first, last)
        for name, nsv in it.account().items():
            sums[name] = sums.get(name, 0) + nsv
        if it.books.workers[worker]["monitored_from"] <= last:
            each[worker] = it.total()
    return sums, each


def line(page, place, sums, before):
    """A row of the collective dose: its classes, all of them, and the year before."""
    order = ("of record", "provisional", "earlier", "apportioned")
    figures = [sums[name] for name in order] + [sum(sums.values())]
    cells = [mrem(x) for x in figures] if has_record(sums) else []
    page.say(place, " ".join([*cells, mrem(before)]))


def has_record(sums):
    """Nobody worked or wore a badge in days of which the files say nothing."""
    return any(sums.values())


def months_of(year, last):
    """First and last days of the months of a year, up to a day."""
    for month in range(1, 13):
        first = f"{year}-{month:02}-01"
        if first <= last:
            next_one = date.fromisoformat(months_after(first, 1))
            yield first, min((next_one - timedelta(days=1)).isoformat(), last)


def band(nsv):
    """The place of a dose among the bands."""
    return next((n for n, edge in enumerate(BANDS) if nsv <= edge * MREM), len(BANDS))


def review(page, dosimetry, maintenance, year):
    """The review of a year."""
    first, last = days_in(year)
    ago = str(int(year) - 1)
    before_last = f"{ago}-12-31" if last[5:] == "12-31" else f"{ago}{last[4:]}"
    page.say("year", year)
    page.say("licence and days", f"{company.LICENCE} {first} {last}")
    history(page, dosimetry, first, last)
    (sums, each), (old, old_each) = (together(dosimetry, *days) for days in (
        (first, last), (f"{ago}-01-01", before_last)))
    whole, before = sum(sums.values()), sum(old.values())
    sign = "+" if whole > before else ""
    page.say("collective, the year before, change", f"{mrem(whole)} {mrem(before)} "
             f"{sign}{mrem(whole - before)}")
    olds = list(months_of(ago, before_last))
    for (one, other), old_days in zip(months_of(year, last), olds):
        month, old_month = (together(dosimetry, *days)[0] for days in ((one, other), old_days))
        page.say("month", one[:7])
        line(page, f"{one[:7]}: record, provisional, earlier, apportioned, all, a year before",
             month, sum(old_month.values()))
    line(page, "all of the year", sums, before)
    openings = sum(p["employer"] == company.LICENSEE and p["first_day"] <= last
                   and p["last_day"] >= first for p in dosimetry.books.prior)
    if openings:
        page.say("opening totals", str(openings))
    for n in range(len(BANDS) + 1):
        edges = " ".join(f"{b} mrem" for b in BANDS[max(n - 1, 0):n + 1])
        page.say("band", edges, "rule")
        page.say("people, a year before", " ".join(
            str(sum(band(x) == n for x in people.values())) for people in (each, old_each)))
    page.say("bands of", "NUREG-0713", "rule")
    reports(page, dosimetry, year, each)
    kept(page, dosimetry, maintenance)
    return page


def reports(page, dosimetry, year, each):
    """Who gets which report."""
    page.say("to the authority by", f"{int(year) + 1}-04-30")
    page.say("people monitored", str(len(each)))
    page.say("under", "(10 CFR 20.2206)", "rule")
    page.say("year", year)
    sent = [w for w in dosimetry.steps if w[:3] == ["review", "sent", year]]
    for words in sent:
        flags = dict(zip(words, words[1:]))
        page.say("sent", f"{flags['--on']} {flags['--reference']}")
        page.say("its entry", "*", "entry")
    if not sent:
        page.say("due", f"{int(year) + 1}-04-30")
    people = {w: Person(dosimetry, w, *days_in(year)) for w in each}
    open_ones = sum(it.is_estimate() for it in people.values())
    page.say("estimates so far", f"{open_ones} {len(each)}")
    for worker, nsv in each.items():
        page.say("person", f"{worker} {rem(nsv)}")
        page.say("to be given", GIVEN if nsv > 100 * MREM else "", "rule")
    page.say("once given, of the year", year)


def history(page, dosimetry, first, last):
    """What of the year is from before the ledger, or was copied from paper."""
    begun = dosimetry.first_day
    if first < begun:
        page.say("the ledger began", begun)
    sheets = [h for h in dosimetry.books.sheets.values() if first <= h["day"] <= last]
    copied = sum(bool(h["paper_date"]) for h in sheets)
    if copied:
        page.say("transcribed of the sheets", f"{copied} {len(sheets)}")


# Records of which some are in force, or evidence of an open event.
SPLIT = {"34.63": "* * *", "34.73": "* * * *", "34.79": "* * * *"}


def kept(page, dosimetry, maintenance):
    """How many records of each sort there are; what stays for its age alone, all of it."""
    for citation, keep, count in records(dosimetry, maintenance):
        where = citation if "CFR" in citation else f"10 CFR {citation}"
        page.say("rule", where, "rule")
        page.say("term", keep, "rule")
        if count is None:
            continue
        key = citation.removeprefix("49 CFR ").split()[0]
        page.say(f"{key}, records", str(count))
        if key in SPLIT:
            page.say(f"{key}, of them", SPLIT[key], "split")
        else:
            page.say(f"{key}, that may go and are too young", f"0 {count or ''}")
    page.say("that may go", "* *", "split")
    page.say("rule", "10 CFR 34.73", "rule")


def problems(maintenance):
    """Looks that wrote down a defect, and what was done to a piece or an instrument."""
    found = sum(any(row["result"] == "defect" for row in rows) for rows in maintenance.looks.values())
    return found + len(maintenance.parts) + len(maintenance.services) + len(maintenance.returns)


def by_survey(dosimetry):
    """Determinations from time and distance."""
    return sum(r["method"] == "time and distance" for r in dosimetry.determinations)


def records(dosimetry, maintenance):
    """[(citation, term, how many)] by 10 CFR 34.61 to 34.87 and 20.2102 to 20.2106."""
    books = dosimetry.books
    sheets = list(books.sheets.values())

    def checks(*sorts):
        return sum(books.instruments[c["instrument"]]["type"] in sorts for c in books.checks)

    def is_source(item):
        it = books.equipment[item]
        return it["type"] == "source assembly" or it["uranium_tube"] == "yes"

    def papers(sort):
        return sum(r["type"] == sort for r in books.qualifications)

    def dated(*sorts):
        return sum(r["type"] in sorts for r in maintenance.source_checks)

    sources = sum(is_source(item) for item in books.equipment)
    shipped = sum(r["type"] == "shipping paper" for r in maintenance.source_checks)
    shipped += sum(bool(r["shipping_paper"]) for r in [*books.equipment.values(),
                                                       *maintenance.withdrawals])
    results = len(dosimetry.results) + sum(key[0] == "row" for key in dosimetry.held)
    determined = len(dosimetry.determinations)
    three = "3 years"
    return [
        ("34.61", "", None),
        ("34.63", three, sources + len(maintenance.loads)),
        ("30.51(a)(3), 40.61(a)(2), (3)", "", sum(is_source(w["item"]) for w in maintenance.withdrawals)),
        ("49 CFR 172.201(e)", "2 years", shipped),
        ("34.65", three, checks("survey meter")),
        ("34.67", three, len(maintenance.leak_tests)),
        ("34.69", three, len(maintenance.inventories)),
        ("34.71", three, len(sheets)),
        ("34.73", three, problems(maintenance)),
        ("34.75", three, None),
        ("34.79", three, len(books.qualifications) - papers("unescorted access")
         - papers("hazmat training")),
        ("37.21 to 37.33", "", papers("unescorted access")),
        ("49 CFR 172.704", "", papers("hazmat training")),
        ("20.1906(b), (c), (f)", "", dated("receipt survey", "lodged check")),
        ("37.49(a)(3)", "", dated("presence check")),
        ("20.2207", "", dated("receipt report", "transfer report", "reconciliation")),
        ("37.53, 34.35(c)", "", dated("vehicle controls", "storage controls")),
        ("34.81", "", None),
        ("34.83(a)", three, len(sheets) + checks("pocket dosimeter", "electronic dosimeter")),
        ("34.83(b)", three, checks("alarm ratemeter")),
        ("34.83(c)", "", results),
        ("34.83(d)", "", determined),
        ("34.85", three, sum(bool(h["storage_survey"]) for h in sheets)),
        ("20.2102", "", None),
        ("20.2102", three, 0),
        ("20.2103(b)(1)", "", by_survey(dosimetry)),
        ("20.2104(f)", "", len(books.prior)),
        ("20.2104(f)", three, 0),
        ("20.2106", "", results + determined),
        ("34.87", "", len(list((books.folder / "photos").iterdir()))),
    ]
