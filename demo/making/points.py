"""Checks of instruments with their points: what was set, what was shown, as found and as left.

The first round, the electronic dosimeters and two more stay in the short form of `checks`, which
only says pass or fail, so that both forms are in the demo.
"""

from datetime import date

from . import company
from .dice import Dice

HEAD = "instrument,on,type,performed_by,certificate,as,scale,true,reads,result".split(",")
BEGINS = "2025-03-01"
# PD-06's check of 2025-10-31 says pass and shows no figure, which is part of its story.
PLAIN = {("PD-06", "2025-10-31"), ("SM-03", "2026-05-19")} | {
    (f"EL-0{n}", "2026-01-19") for n in (1, 2, 3)}
# one more check, out of turn: PD-06 after five badge results above its readings
OUT_OF_TURN = ["PD-06", "2025-12-31", "response check", company.NAME["W02"], "TC-0120"]

LINEAR = [("10 mR/h", (3.3, 6.7)), ("100 mR/h", (33, 67)), ("1000 mR/h", (330, 670))]
DECADES = (4, 40, 80, 400)
DIGITS = (5, 50, 500)

# (instrument, day): {(as, true): reads} where what was found is told on purpose
TOLD = {
    # 30 % low in the highest decade
    ("SM-07", "2025-12-02"): {("found", 4): "3.9", ("found", 40): "37", ("found", 80): "71",
                              ("found", 400): "280", ("left", 4): "4.1", ("left", 40): "41",
                              ("left", 80): "81", ("left", 400): "392"},
    # near miss: 17.6 % low at one point
    ("SM-04", "2025-11-21"): {("found", 33): "27.2", ("found", 67): "58"},
    # 25 % low
    ("PD-06", "2025-12-31"): {("found", 100): "75", ("left", 100): "98"},
    # near miss: 19 % low
    ("PD-03", "2025-10-13"): {("found", 100): "81"},
}
# near miss: 590 of at most 600
SOUNDED = {("RM-05", "2025-11-17"): 590}


def near(true, dice):
    """What a healthy instrument shows: within 9 %, with as many figures as it has."""
    shown = true * (1000 + dice.below(181) - 90) / 1000
    return f"{shown:.1f}".removesuffix(".0") if true < 10 else f"{shown:.0f}"


def points(item, day):
    """[(as, scale, true, reads)] of one check, in the order in which they were taken."""
    dice = Dice(f"points/{item}/{day}")
    told = TOLD.get((item, day), {})
    sides = ["found"] + (["left"] if any(side == "left" for side, _ in told) else [])
    if item.startswith("RM"):
        rate = SOUNDED.get((item, day), 455 + 5 * dice.below(19))
        return [("found", "", f"{rate} mrem/h", "")]
    if item.startswith("PD"):
        return [(side, "", "100 mR", f"{told.get((side, 100), near(100, dice))} mR")
                for side in sides]
    number = item[-1]
    wanted = [("1000 mR/h", DECADES)] if number == "7" else [("", DIGITS)] if number == "8" else (
        LINEAR)
    return [(side, scale, f"{true:g} mR/h", f"{told.get((side, true), near(true, dice))} mR/h")
            for side in sides for scale, trues in wanted for true in trues]


def split(checks):
    """([(day, row of checks)], [(day, rows of calibrations)]) of all checks."""
    plain, full = [], []
    for day, row in checks + [(date.fromisoformat(OUT_OF_TURN[1]),
                               OUT_OF_TURN[:3] + [""] + OUT_OF_TURN[3:])]:
        item, on, sort, _, by, certificate = row
        if on < BEGINS or (item, on) in PLAIN:
            plain.append((day, row))
        else:
            full.append((day, [[item, on, sort, by, certificate, *point, ""]
                               for point in points(item, on)]))
    return plain, full
