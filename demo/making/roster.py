"""Who works when: the regular weeks of the three crews, without the days of the story."""

from datetime import date, timedelta

from . import company, story
from .dice import Dice

HOLIDAYS = {date(2025, 5, 26), date(2025, 7, 4), date(2025, 9, 1), date(2025, 11, 27),
            date(2025, 12, 25), date(2026, 1, 1), date(2026, 5, 25)}
# begin in minutes of the day, length in minutes
HOURS = {"day": (420, 510), "evening": (900, 480), "night": (1320, 480)}
REST = 8 * 60
RADIOGRAPHERS = {"radiographer", "rso designee"}


def iso_week(day):
    """`2025-W09`"""
    year, week, _ = day.isocalendar()
    return f"{year}-W{week:02}"


def role_on(worker, day):
    """The role that the register gives a worker on a day."""
    role = {row[0]: row[2] for row in company.PEOPLE}[worker]
    for who, since, new in company.ROLE_CHANGES:
        if who == worker and since <= day:
            role = new
    return role


def shift_of_week(crew, day):
    """A crew keeps one kind of shift for a week; weeks with a story are day weeks."""
    fixed = story.WEEK_SHIFT.get((crew, iso_week(day)))
    if fixed:
        return fixed
    return Dice(f"shift/{crew}/{iso_week(day)}").weighted(
        [(72, "day"), (14, "evening"), (14, "night")])


def job_of_week(crew, day):
    """The crew's temporary job or, about one week in three, the bay at home."""
    if Dice(f"job/{crew}/{iso_week(day)}").chance(330):
        return company.FIXED_JOB
    return temporary_job(crew, day)


def temporary_job(crew, day):
    """The crew's temporary job on a day."""
    return [job for since, job in company.CREW_JOBS[crew] if since <= day.isoformat()][-1]


def device_of_week(crew, day):
    """The set that a crew has out this week; stays clear of withdrawn devices."""
    roll = Dice(f"set/{crew}/{iso_week(day)}").below(100)
    if crew == "A":
        gone = day >= story.RETRIEVAL
        return "ED-01" if gone or roll < 30 else "ED-02"
    if crew == "B":
        if iso_week(day) == story.ED03_WITHDRAWN_WEEK:
            return "ED-05"
        out = company.WITHDRAWALS[0][1] <= day <= company.RETURNS[0][1]
        return "ED-05" if roll < 25 and not out else "ED-03"
    if day < date(2025, 12, 29):
        return "ED-06" if roll < 15 else "ED-04"
    return "ED-06" if roll < 60 else "ED-04"


def meter_of_week(crew, day):
    """Each crew has two survey meters."""
    if crew == "B" and date(2025, 11, 3) <= day <= date(2025, 11, 20):
        return "SM-04"
    if crew == "B" and date(2025, 11, 21) <= day <= date(2025, 11, 25):
        return "SM-03"
    pair = {"A": ("SM-01", "SM-02"), "B": ("SM-03", "SM-04"), "C": ("SM-05", "SM-06")}[crew]
    return Dice(f"meter/{crew}/{iso_week(day)}").pick(pair)


def maintenance_on(crew, day):
    """The crew's device that has its quarterly maintenance on this Saturday, if any."""
    if day.weekday() != 5:
        return None
    quarter_start = date(day.year, 3 * ((day.month - 1) // 3) + 1, 1)
    nth = (day - quarter_start).days // 7
    order = {2: ("A", "ED-01"), 3: ("B", "ED-03"), 4: ("C", "ED-04"), 5: ("A", "ED-02"),
             6: ("B", "ED-05"), 7: ("C", "ED-06")}
    if order.get(nth, ("", ""))[0] != crew:
        return None
    device = order[nth][1]
    return None if device == "ED-02" and day >= story.RETRIEVAL else device


class Roster:
    """Keeps everybody's hours, so that nobody is in two places and all have some rest."""

    def __init__(self):
        self.hours = {row[0]: [] for row in company.PEOPLE}
        self.week = {}

    def free(self, worker, day, begin, length, rest=REST):
        """Whether the worker can take this shift."""
        start = day.toordinal() * 1440 + begin
        end = start + length
        return all(end + rest <= a or b + rest <= start for a, b in self.hours[worker])

    def take(self, worker, day, begin, length):
        """Write down that the worker has this shift."""
        start = day.toordinal() * 1440 + begin
        self.hours[worker].append((start, start + length))
        key = (worker, iso_week(day))
        self.week[key] = self.week.get(key, 0) + 1

    def absent(self, worker, day, shift, job):
        """Not hired yet, on leave, kept off by a story, or kept to light work."""
        if day < company.LATER_HIRES.get(worker, company.FIRST):
            return True
        if any(a <= day <= b for a, b in story.OFF.get(worker, [])):
            return True
        if worker == company.PREGNANCY[0] and day >= company.PREGNANCY[1]:
            light = job == company.FIXED_JOB and shift == "day"
            return not light or Dice(f"light/{day}").chance(400)
        return Dice(f"leave/{worker}/{iso_week(day)}").chance(50)

    def regular_crew(self, crew, day, shift, job, begin, length):
        """The people of a regular shift, a radiographer first; empty when no crew comes up."""
        dice = Dice(f"crew/{crew}/{day}")
        can = [w for w in company.CREW[crew]
               if not self.absent(w, day, shift, job) and self.free(w, day, begin, length)
               and self.week.get((w, iso_week(day)), 0) < 5]
        can.sort(key=lambda w: (self.week.get((w, iso_week(day)), 0), dice.below(100)))
        reserve = "W02"
        if self.free(reserve, day, begin, length) and not self.absent(reserve, day, shift, job):
            if len(can) < 2 or dice.chance(90):
                can.insert(1, reserve)
            elif not any(role_on(w, day) == "radiographer" for w in can):
                can.append(reserve)
        lead = next((w for w in can if role_on(w, day) in RADIOGRAPHERS), None)
        if lead is None:
            return []
        rest = [w for w in can if w != lead]
        second = next((w for w in rest if role_on(w, day) != "trainee"), None)
        if second is None:
            return []
        people = [lead, second]
        third = [w for w in rest if w != second]
        if third and dice.chance(640):
            people.append(third[0])
        observer = "W01"
        if dice.chance(45) and self.free(observer, day, begin, length):
            people.append(observer)
        return people


def works(crew, day):
    """Whether a crew goes out on a day."""
    if day in HOLIDAYS:
        return False
    if day.weekday() == 6:
        return day == date(2025, 3, 2) and crew == "A"
    dice = Dice(f"works/{crew}/{day}")
    return dice.chance(900 if day.weekday() == 5 else 985)


def days():
    """All days of the demo."""
    day = company.FIRST
    while day <= company.LAST:
        yield day
        day += timedelta(days=1)
