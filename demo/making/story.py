"""The fixed days: sheets on which something happens on purpose, and what follows from them.

A fixed sheet names its people and, where it matters, what one of them wrote:
  mrem      the dose on a pocket dosimeter, in whole mR counted as mrem
  usv       the dose on an electronic dosimeter
  gap       how far the start lies from the electronic dosimeter's last end, in uSv
  parts     [(start, end), ...] of a pocket dosimeter recharged during the shift
  second    a second dosimeter worn beside the usual one: (id, start, end)
  cells     cells of the row that differ from the usual ones
"""

from datetime import date

from . import company

RETRIEVAL = date(2026, 5, 19)
PAPER_SHEET = "C-2025-07-10-day"
OFF_SCALE_SHEET = "A-2026-05-27-day"
LATE_SHEET = "B-2025-10-02-day"
ED03_WITHDRAWN_WEEK = "2025-W33"
# two sheets say when the first exposure was; on the first of them the check came after it
FIRST_EXPOSURE = {"B-2025-06-11-day": "08:10", "C-2025-06-12-day": "07:50"}

# first and last day on which somebody does not work
OFF = {
    "W04": [(date(2026, 5, 28), company.TODAY)],
    "W07": [(date(2025, 10, 15), date(2025, 10, 19))],
    "W08": [(date(2025, 11, 17), date(2025, 11, 17)), (date(2026, 5, 16), company.TODAY)],
    "W09": [(date(2026, 1, 22), date(2026, 1, 22))],
}


def fixed(crew, day, job, device, meter, people, note="", per=None, **more):
    """One fixed sheet; `more` may give shift, begin, length, work, suffix and sheet cells."""
    return {"crew": crew, "day": date.fromisoformat(day), "job": job, "device": device,
            "meter": meter, "people": people, "note": note, "per": per or {},
            "shift": more.pop("shift", "day"), "begin": more.pop("begin", 420),
            "length": more.pop("length", 510), "work": more.pop("work", "radiography"),
            "suffix": more.pop("suffix", ""), "cells": more}


FIXED = [
    fixed("B", "2025-04-24", "JOB-03", "ED-03", "SM-03", ["W07", "W08", "W09"],
          attested_by=""),
    fixed("B", "2025-05-13", "JOB-03", "ED-03", "SM-04", ["W08", "W09"],
          per={"W09": {"parts": [(14, 2)]}}),
    fixed("A", "2025-06-17", "JOB-05", "ED-02", "SM-01", ["W05", "W06"],
          note="W04 sent home ill before the first exposure; three welds finished by us two",
          per={"W05": {"mrem": 6}, "W06": {"mrem": 4}}, exposures="6", source_out_min="15",
          attested_by="W05"),
    fixed("A", "2025-06-24", "JOB-05", "ED-02", "SM-02", ["W03", "W04", "W06"],
          per={"W03": {"usv": 48, "gap": 37}}),
    fixed("C", "2025-07-10", "JOB-04", "ED-04", "SM-05", ["W12", "W13", "W14"],
          note="written on paper, tablet broken",
          per={"W12": {"usv": 63}, "W13": {"mrem": 7}, "W14": {"mrem": 5}}),
    fixed("B", "2025-08-13", "JOB-06", "ED-03", "SM-03", ["W07", "W09"],
          note="took ED-03, other set at the yard", per={"W07": {"usv": 55}, "W09": {"mrem": 4}}),
    fixed("C", "2025-08-21", "JOB-07", "ED-04", "SM-06", ["W11", "W13"],
          per={"W11": {"mrem": 9}, "W13": {"mrem": 6, "cells": {"alarm_tested": "no"}}}),
    fixed("C", "2025-09-09", "JOB-07", "ED-04", "SM-05", ["W11", "W12", "W14"],
          per={"W12": {"usv": 71, "gap": -18}}),
    fixed("C", "2025-09-23", "JOB-07", "ED-04", "SM-05", ["W12", "W13"],
          per={"W13": {"parts": [(1, 215)]}, "W12": {"usv": 44}}),
    fixed("B", "2025-10-02", "JOB-06", "ED-05", "SM-04", ["W08", "W09"],
          per={"W08": {"mrem": 8}, "W09": {"mrem": 5}}),
    fixed("B", "2025-10-14", "JOB-06", "ED-03", "SM-03", ["W07", "W09", "W10"],
          note="W07 went up to the device before the crank was fully home; stopped work, "
               "called W01",
          per={"W07": {"usv": 2130}, "W09": {"mrem": 16}, "W10": {"mrem": 9}}, length=360),
    fixed("C", "2025-10-22", "JOB-07", "ED-04", "SM-06", ["W11", "W13", "W14"],
          note="W11 recharged PD-11 at midday",
          per={"W11": {"parts": [(2, 61), (0, 34)]}, "W13": {"mrem": 22},
               "W14": {"mrem": 13}}),
    fixed("A", "2025-12-03", "JOB-08", "ED-01", "SM-01", ["W04", "W06"],
          note="W06 left PD-06 at the yard and took a spare from the truck",
          per={"W04": {"mrem": 7}, "W06": {"parts": [(1, 10)], "unit": " mR",
                                           "cells": {"dosimeter": "PD-91"}}}),
    fixed("C", "2025-12-31", "JOB-10", "ED-06", "SM-05", ["W11", "W13", "W14"],
          shift="night", begin=1260, length=480,
          per={"W11": {"mrem": 38}, "W13": {"mrem": 21}, "W14": {"mrem": 17}}),
    fixed("B", "2026-01-20", "JOB-09", "ED-03", "SM-04", ["W07", "W09", "W10"],
          note="W09 lost the badge at the site about 10:30; searched, not found; W09 stayed "
               "off the line from then on",
          per={"W07": {"usv": 52}, "W09": {"mrem": 3, "cells": {"badge_worn": "no"}},
               "W10": {"mrem": 5}}),
    fixed("B", "2026-01-21", "JOB-09", "ED-03", "SM-04", ["W07", "W09"],
          note="replacement badge for W09 not here yet",
          per={"W07": {"usv": 38}, "W09": {"mrem": 4, "cells": {"badge_worn": "no"}}}),
    fixed("A", "2026-02-18", "JOB-11", "ED-02", "SM-02", ["W03", "W05", "W06"],
          storage_survey=""),
    fixed("C", "2026-03-11", "JOB-10", "ED-04", "SM-06", ["W11", "W12", "W13"],
          per={"W12": {"usv": 310, "second": ("PD-12", 1, 13)}}),
    fixed("C", "2026-03-12", "JOB-10", "ED-04", "SM-06", ["W12", "W14"],
          per={"W12": {"usv": 128, "second": ("PD-12", 0, 12)}}),
    fixed("C", "2026-04-08", "JOB-10", "ED-06", "SM-05", ["W11", "W13"],
          per={"W11": {"mrem": 24},
               "W13": {"mrem": 9, "cells": {"worker": "Benedikt Owuso"}}}),
    fixed("B", "2026-04-21", "JOB-12", "ED-03", "SM-03", ["W07", "W09", "W10"],
          per={"W07": {"usv": 66, "gap": -5}}),
    fixed("A", "2026-05-19", "JOB-11", "ED-02", "SM-02", ["W03", "W05", "W06"],
          note="11:05 exposure 9: source would not retract, crank turned hard and then free; "
               "meter high at the crank; cleared to 2 mR/h, held the boundary, called W01 "
               "11:12",
          per={"W03": {"usv": 342}, "W05": {"mrem": 21}, "W06": {"mrem": 13}},
          length=450, exposures="9", source_out_min="237", boundary="2 mR/h",
          storage_survey="", device_back=""),
    fixed("A", "2026-05-19", "JOB-11", "ED-02", "SM-07", ["W01", "W02", "W03"],
          note="source home and locked 17:00 under the recovery procedure; survey of device "
               "and tube normal; W01 recharged PD-01 at 16:10",
          per={"W01": {"parts": [(1, 97), (0, 30)]}, "W02": {"mrem": 47},
               "W03": {"usv": 86}},
          shift="evening", begin=885, length=225, work="retrieval", suffix="-retrieval",
          exposures="0", source_out_min="135", boundary="2 mR/h",
          storage_survey="16 mR/h", device_out="", device_back="21:15", attested_by="W01"),
    fixed("A", "2026-05-27", "JOB-11", "ED-01", "SM-01", ["W03", "W04", "W05"],
          note="W04: PD-04 past the end of its scale when read at 11:40; W04 stopped, badge "
               "taken to W01 the same day",
          per={"W03": {"usv": 118}, "W05": {"mrem": 11},
               "W04": {"parts": [(1, None)], "cells": {"off_scale": "yes"}}}),
]

WEEK_SHIFT = {}
for _sheet in FIXED:
    _year, _week, _ = _sheet["day"].isocalendar()
    WEEK_SHIFT[(_sheet["crew"], f"{_year}-W{_week:02}")] = _sheet["shift"]
WEEK_SHIFT[("A", "2026-W21")] = "day"
