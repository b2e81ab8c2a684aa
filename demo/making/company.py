"""The invented company: people, jobs, equipment, instruments and their checks.

Every name, maker, model, serial number, certificate and place here is made up.
"""

from datetime import date, timedelta

FIRST = date(2025, 3, 1)
LAST = date(2026, 5, 31)
TODAY = date(2026, 6, 5)
LICENSEE = "Quillback Plains Radiography (invented)"
LICENCE = "00-DEMO-01"
SITE = "Tallgrass Junction yard (invented)"
ZONE = "America/Chicago"

WORKERS_HEAD = "id,name,role,category,birth_date,monitored_from,monitored_until".split(",")
# id, name, first role, birth date, monitored from
PEOPLE = [
    ("W01", "Ngozi Halvorsen", "rso", "1974-03-19", "2012-05-07"),
    ("W02", "Tomasz Okonjo", "rso designee", "1981-11-02", "2015-09-14"),
    ("W03", "Marisol Vanterpool", "radiographer", "1986-07-25", "2017-02-06"),
    ("W04", "Dae-jung Petrossian", "radiographer", "1990-01-13", "2019-06-03"),
    ("W05", "Leilani Kowalczyk", "assistant", "1997-09-30", "2022-03-21"),
    ("W06", "Farid Lindqvist", "assistant", "1999-04-08", "2023-08-14"),
    ("W07", "Ingrid Mbeki-Santos", "radiographer", "1983-12-21", "2016-10-10"),
    ("W08", "Priya Delacroix", "radiographer", "1993-05-17", "2020-01-13"),
    ("W09", "Oleg Tanakawa", "assistant", "1995-08-06", "2022-11-07"),
    ("W10", "Casimir Nakai-Bright", "trainee", "2004-02-27", "2025-04-14"),
    ("W11", "Rashid Fontanelle", "radiographer", "1985-06-11", "2018-04-30"),
    ("W12", "Hedda Quispe", "radiographer", "1988-10-04", "2019-01-21"),
    ("W13", "Benedikt Owusu", "assistant", "1998-03-03", "2023-02-13"),
    ("W14", "Yara Thistlewood", "assistant", "1996-12-15", "2025-07-07"),
]
NAME = {row[0]: row[1] for row in PEOPLE}
LATER_HIRES = {"W10": date(2025, 4, 14), "W14": date(2025, 7, 7)}
CREW = {
    "A": ["W03", "W04", "W05", "W06"],
    "B": ["W07", "W08", "W09", "W10"],
    "C": ["W11", "W12", "W13", "W14"],
}
# A changed role counts from its day on; the register row keeps the first role.
ROLE_CHANGES = [("W14", date(2026, 1, 12), "radiographer"), ("W10", date(2026, 2, 2), "assistant")]

PREGNANCY = ("W08", date(2025, 11, 17), date(2025, 9, 15))

PRIOR_HEAD = "worker,first_day,last_day,employer,deep,lens,shallow,extremity,basis".split(",")
# mrem in the year 2024, and in January and February 2025, of the company's own paper records
OWN_EARLIER = {
    "W01": (96, 14), "W02": (412, 71), "W03": (1104, 188), "W04": (1310, 204),
    "W05": (702, 131), "W06": (655, 118), "W07": (1216, 176), "W08": (934, 142),
    "W09": (788, 125), "W11": (1492, 241), "W12": (1057, 163), "W13": (811, 139),
}
ELSEWHERE = ["W14", "2024-01-01", "2024-12-31", "Makeshift Pipe Inspection (invented)",
             "610 mrem", "610 mrem", "640 mrem", "", "written statement of the employer"]
MISSING_HEAD = "worker,year,quarter,exposure_possible,note".split(",")
MISSING = {
    "W10": [["W10", "2025", "1", "no", "student; no work with radiation"]],
    "W14": [["W14", "2025", "1", "yes", "employer closed; no record obtained"],
            ["W14", "2025", "2", "yes", "employer closed; no record obtained"]],
}

JOBS_HEAD = "id,place,jurisdiction,setting,zone,first_day,last_day,client".split(",")
# id, place, jurisdiction, setting, zone, first day
JOBS = [
    ("JOB-01", "Tallgrass Junction bay (invented)", "NRC", "permanent radiographic installation", ZONE,
     "2012-05-07"),
    ("JOB-02", "Sourdough Creek line, Missouri (invented)", "NRC", "temporary jobsite", ZONE,
     "2025-02-10"),
    ("JOB-03", "Lantern Hill tank yard, Missouri (invented)", "NRC", "temporary jobsite", ZONE,
     "2025-01-20"),
    ("JOB-04", "High Thimble station, Colorado (invented)", "Colorado", "temporary jobsite",
     "America/Denver", "2025-02-24"),
    ("JOB-05", "Mudlark crossing, Kansas (invented)", "Kansas", "temporary jobsite", ZONE,
     "2025-06-02"),
    ("JOB-06", "Plumb Bob mill, Nebraska (invented)", "Nebraska", "temporary jobsite", ZONE,
     "2025-07-07"),
    ("JOB-07", "Old Kettle works, Missouri (invented)", "NRC", "temporary jobsite", ZONE,
     "2025-08-04"),
    ("JOB-08", "Turnip Bend terminal, Missouri (invented)", "NRC", "temporary jobsite", ZONE,
     "2025-09-01"),
    ("JOB-09", "Farthing River bridge, Kansas (invented)", "Kansas", "temporary jobsite", ZONE,
     "2025-11-03"),
    ("JOB-10", "Bellows Foundry, Missouri (invented)", "NRC", "temporary jobsite", ZONE,
     "2025-12-29"),
    ("JOB-11", "Gooseneck loop, Missouri (invented)", "NRC", "temporary jobsite", ZONE,
     "2026-01-05"),
    ("JOB-12", "Pewter Flats plant, Nebraska (invented)", "Nebraska", "temporary jobsite", ZONE,
     "2026-03-02"),
]
# for whom a job is; the own bay has many, and two jobs name nobody
CLIENTS = {
    "JOB-02": "Drowsy Mole Pipelines (invented)", "JOB-03": "Copper Kettle Tanks (invented)",
    "JOB-05": "Drowsy Mole Pipelines (invented)", "JOB-06": "Lukewarm Paper (invented)",
    "JOB-08": "Drowsy Mole Pipelines (invented)", "JOB-09": "Copper Kettle Tanks (invented)",
    "JOB-10": "Bellows Foundry (invented)", "JOB-11": "Drowsy Mole Pipelines (invented)",
    "JOB-12": "Lukewarm Paper (invented)",
}


def job_row(job):
    """A row of the job register."""
    return list(job) + ["", CLIENTS.get(job[0], "")]


# the temporary job of a crew from a day on
CREW_JOBS = {
    "A": [("2025-03-01", "JOB-02"), ("2025-06-02", "JOB-05"), ("2025-09-01", "JOB-08"),
          ("2026-01-05", "JOB-11")],
    "B": [("2025-03-01", "JOB-03"), ("2025-07-07", "JOB-06"), ("2025-11-03", "JOB-09"),
          ("2026-03-02", "JOB-12")],
    "C": [("2025-03-01", "JOB-04"), ("2025-08-04", "JOB-07"), ("2025-12-29", "JOB-10")],
}
FIXED_JOB = "JOB-01"

EQUIPMENT_HEAD = ("id,type,maker,model,serial,nuclide,activity,activity_on,in_service,"
                  "uranium_tube,received_on,received_from,received_by,shipping_paper,"
                  "uranium_mass").split(",")
# devices whose shield is of uranium around a tube
URANIUM = ("ED-03", "ED-06")
MAKER = "Invented Works"


def equipment():
    """Rows of everything but the source assemblies: six sets and what goes with them."""
    rows = []
    for n in range(1, 7):
        model = "Imaginary Projector L" if n == 6 else "Imaginary Projector S"
        since = date(2018 + n, 2 + n, 3 + n).isoformat()
        rows.append([f"ED-0{n}", "exposure device", MAKER, model, f"XP-{410 + 7 * n}",
                     "", "", "", since, "yes" if f"ED-0{n}" in URANIUM else "no"])
        rows.append([f"CU-0{n}", "control unit", MAKER, "Imaginary Crank 35", f"XC-{220 + 3 * n}",
                     "", "", "", since, ""])
        for m in (1, 2):
            rows.append([f"GT-{n}{m}", "guide tube", MAKER, "Imaginary Tube 7",
                         f"XG-{600 + 10 * n + m}", "", "", "", since, ""])
    for n in (1, 2, 3):
        rows.append([f"CL-0{n}", "collimator", MAKER, "Imaginary Hood 4", f"XH-{80 + n}",
                     "", "", "", "2022-06-01", ""])
    rows.append(["SC-01", "source changer", MAKER, "Imaginary Changer", "XE-17", "", "", "",
                 "2020-03-02", ""])
    rows.append(["ST-01", "storage container", MAKER, "Imaginary Chest", "XB-05", "", "", "",
                 "2016-09-12", ""])
    # what came before the ledger has its papers in the binder; one shield names its mass
    return [row + ["", "", "", "", "19 kg" if row[0] == "ED-06" else ""] for row in rows]


# source assemblies at the start: id, device, nuclide, Ci, reference date
FIRST_SOURCES = [
    ("SA-01", "ED-01", "Ir-192", 96, date(2025, 1, 6)),
    ("SA-02", "ED-02", "Ir-192", 92, date(2024, 12, 9)),
    ("SA-03", "ED-03", "Ir-192", 98, date(2025, 1, 27)),
    ("SA-04", "ED-04", "Ir-192", 99, date(2025, 2, 17)),
    ("SA-05", "ED-05", "Se-75", 78, date(2025, 2, 3)),
    ("SA-06", "ED-06", "Co-60", 44, date(2024, 8, 19)),
]
EXCHANGES = [
    (date(2025, 3, 31), "ED-02", "Ir-192", 97), (date(2025, 4, 28), "ED-01", "Ir-192", 95),
    (date(2025, 5, 19), "ED-03", "Ir-192", 99), (date(2025, 6, 9), "ED-04", "Ir-192", 96),
    (date(2025, 7, 21), "ED-02", "Ir-192", 98), (date(2025, 8, 25), "ED-01", "Ir-192", 94),
    (date(2025, 9, 15), "ED-03", "Ir-192", 97), (date(2025, 10, 6), "ED-04", "Ir-192", 99),
    (date(2025, 10, 27), "ED-05", "Se-75", 80), (date(2025, 11, 10), "ED-02", "Ir-192", 95),
    (date(2025, 12, 15), "ED-01", "Ir-192", 98), (date(2026, 1, 12), "ED-03", "Ir-192", 96),
    (date(2026, 2, 2), "ED-04", "Ir-192", 97), (date(2026, 3, 16), "ED-02", "Ir-192", 98),
    (date(2026, 4, 6), "ED-01", "Ir-192", 99), (date(2026, 4, 27), "ED-03", "Ir-192", 95),
]


def source_row(number, nuclide, curies, reference, in_service):
    """One source assembly as a row of the equipment register."""
    return [f"SA-{number:02}", "source assembly", MAKER, f"Imaginary Pigtail {nuclide[:2]}",
            f"XS-{3000 + 11 * number}", nuclide, f"{curies} Ci", reference.isoformat(),
            in_service.isoformat(), ""]


def shipping_paper(number, day):
    """Number and date of a shipping paper."""
    return f"SP-{number} of {day.isoformat()}"


def first_sources():
    """The source assemblies in the six devices when the ledger starts."""
    return [source_row(int(sid[3:]), nuclide, curies, ref, ref + timedelta(days=7)) + [""] * 5
            for sid, _, nuclide, curies, ref in FIRST_SOURCES]


def received_sources():
    """[(day received, exchange day, new id, old id, row)]: three days before each exchange."""
    held = {device: sid for sid, device, *_ in FIRST_SOURCES}
    out = []
    for number, (day, device, nuclide, curies) in enumerate(EXCHANGES, start=7):
        received = day - timedelta(days=3)
        new = f"SA-{number:02}"
        row = source_row(number, nuclide, curies, day - timedelta(days=5), received)
        row += [received.isoformat(), MAKER, NAME["W02"],
                shipping_paper(200 + number, received - timedelta(days=1)), ""]
        out.append((received, day, new, held[device], row))
        held[device] = new
    return out


def source_in(device, day):
    """The source assembly in a device on a day (the new one on the day of an exchange)."""
    held = {dev: sid for sid, dev, *_ in FIRST_SOURCES}[device]
    for number, (when, dev, _, _) in enumerate(EXCHANGES, start=7):
        if dev == device and when <= day:
            held = f"SA-{number:02}"
    return held


def sources():
    """{id: (nuclide, Ci, reference date)} of every source assembly."""
    first = {sid: (nuclide, curies, on) for sid, _, nuclide, curies, on in FIRST_SOURCES}
    return first | {f"SA-{n:02}": (nuclide, curies, day - timedelta(days=5))
                    for n, (day, _, nuclide, curies) in enumerate(EXCHANGES, start=7)}


HALF_LIFE = {"Ir-192": 73.829, "Se-75": 119.78, "Co-60": 1925.3}
SOURCES = sources()


def curies_in(device, day):
    """Ci of the source in a device on a day: the reference activity, decayed."""
    nuclide, curies, reference = SOURCES[source_in(device, day)]
    return curies * 2 ** (-(day - reference).days / HALF_LIFE[nuclide])


INSTRUMENTS_HEAD = ("id,type,maker,model,serial,unit,range,scale,scales,alarm_preset,"
                    "in_service").split(",")
METER_MAKER = "Make-Believe Meters"
LINEAR = "10 mR/h / 100 mR/h / 1000 mR/h"


def instruments():
    """Rows of the instrument register."""
    rows = []
    for n in range(1, 17):
        rows.append([f"PD-{n:02}", "pocket dosimeter", METER_MAKER, "Pretend Pen 200",
                     f"MP-{5100 + 3 * n}", "mR", "200 mR", "linear", "", "", "2021-04-12"])
    for n in range(1, 4):
        rows.append([f"EL-{n:02}", "electronic dosimeter", METER_MAKER, "Pretend Counter",
                     f"ME-{730 + n}", "uSv", "999999 uSv", "digital", "", "", "2025-01-20"])
    for n in range(1, 17):
        rows.append([f"RM-{n:02}", "alarm ratemeter", METER_MAKER, "Pretend Chirper",
                     f"MR-{2400 + 5 * n}", "", "", "", "", "500 mrem/h", "2022-01-17"])
    kinds = {7: ("Pretend Decades", "logarithmic", "1000 mR/h"),
             8: ("Pretend Digits", "digital", "1000 mR/h")}
    for n in range(1, 9):
        model, scale, scales = kinds.get(n, ("Pretend Needle", "linear", LINEAR))
        rows.append([f"SM-{n:02}", "survey meter", METER_MAKER, model, f"MS-{910 + 2 * n}",
                     "", "", scale, scales, "", "2020-10-05"])
    return rows


CHECKS_HEAD = "instrument,on,type,result,performed_by,certificate".split(",")
SHOP = "Thimbleful Calibration Shop (invented)"
# day, instruments, sort
CHECK_DAYS = [
    ("2024-10-15", [f"PD-{n:02}" for n in range(1, 9)], "response check"),
    ("2024-11-12", ["SM-04"], "calibration"),
    ("2024-11-18", [f"RM-{n:02}" for n in range(1, 9)], "calibration"),
    ("2024-12-10", ["SM-03"], "calibration"),
    ("2024-12-17", ["SM-07", "SM-08"], "calibration"),
    ("2025-01-14", ["SM-01", "SM-02"], "calibration"),
    ("2025-01-20", ["EL-01", "EL-02", "EL-03"], "response check"),
    ("2025-02-04", ["SM-05", "SM-06"], "calibration"),
    ("2025-02-10", [f"PD-{n:02}" for n in range(9, 17)], "response check"),
    ("2025-02-17", [f"RM-{n:02}" for n in range(9, 17)], "calibration"),
    ("2025-05-06", ["SM-04"], "calibration"),
    ("2025-06-03", ["SM-03"], "calibration"),
    ("2025-06-10", ["SM-07", "SM-08"], "calibration"),
    ("2025-07-08", ["SM-01", "SM-02"], "calibration"),
    ("2025-07-29", ["SM-05", "SM-06"], "calibration"),
    # PD-06 was left out of this round and found two weeks later.
    ("2025-10-13", [f"PD-{n:02}" for n in range(1, 9) if n != 6], "response check"),
    ("2025-10-31", ["PD-06"], "response check"),
    ("2025-11-17", [f"RM-{n:02}" for n in range(1, 9)], "calibration"),
    # SM-04 was due on 2025-11-06.
    ("2025-11-21", ["SM-04"], "calibration"),
    ("2025-11-25", ["SM-03"], "calibration"),
    ("2025-12-02", ["SM-07", "SM-08"], "calibration"),
    ("2025-12-30", ["SM-01", "SM-02"], "calibration"),
    ("2026-01-19", ["EL-01", "EL-02", "EL-03"], "response check"),
    ("2026-01-20", ["SM-05", "SM-06"], "calibration"),
    ("2026-02-09", [f"PD-{n:02}" for n in range(9, 17)], "response check"),
    ("2026-02-16", [f"RM-{n:02}" for n in range(9, 17)], "calibration"),
    ("2026-05-18", ["SM-04"], "calibration"),
    ("2026-05-19", ["SM-03"], "calibration"),
    # SM-08 was not sent along and is overdue on the demo's day, unused.
    ("2026-05-26", ["SM-07"], "calibration"),
]


def checks():
    """[(day, row)] of all checks, with numbered certificates."""
    out = []
    number = 1
    for day, ids, sort in CHECK_DAYS:
        by = SHOP if sort == "calibration" else NAME["W02"]
        for item in ids:
            out.append((date.fromisoformat(day),
                        [item, day, sort, "pass", by, f"TC-{number:04}"]))
            number += 1
    return out


WITHDRAWALS_HEAD = ("item,on,reason,performed_by,transferred_to,shipping_paper,"
                    "license_verified").split(",")
RETURNS_HEAD = "item,on,done,performed_by".split(",")
# item, day, reason, by
WITHDRAWALS = [
    ("CU-05", date(2025, 5, 5), "crank handle loose", "W02"),
    ("ED-03", date(2025, 8, 11), "lock stiff, key turns only when jiggled", "W02"),
    ("GT-41", date(2026, 2, 23), "outer end dented, tube dropped from a stand", "W11"),
    ("ED-02", date(2026, 5, 20), "source would not retract on 2026-05-19", "W01"),
    ("CU-02", date(2026, 5, 20), "source would not retract on 2026-05-19", "W01"),
    ("GT-21", date(2026, 5, 20), "in use when the source would not retract", "W01"),
    ("GT-22", date(2026, 5, 20), "in use when the source would not retract", "W01"),
]
RETURNS = [
    ("CU-05", date(2025, 5, 9), "handle rebolted and locked; tested over 10 m", "W02"),
    ("ED-03", date(2025, 8, 15), "lock cleaned and tested 20 times with a dummy source", "W02"),
    # not withdrawn: a defect was written down on 2025-05-03 and the device went out again
    ("ED-04", date(2025, 5, 7), "fourth screw of the lock plate fitted", "W02"),
]
