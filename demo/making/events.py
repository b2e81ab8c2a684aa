"""Eight invented events: what went wrong, what was learned of it, and the inspections after them.

Each came out another way: a defect that was known and used, an alarm that nobody tried, a stand
that fell after the morning's check, a crack that no gauge bears on, a source stop that was looked
at and let through, the retrieval with its worn cable, a lock that was found broken before the set
went out, and ice in a tube of which only the month is known. The retrieval alone is open on the
demo's day."""

from datetime import date

from . import photo

HEAD = ["item", "on", "at", "when", "performed_by", "with", "counter", "line", "result", "value", "note",
        "action", "remark"]
AFTER = "after an event"


def good(item, day, at, by, *measures):
    """The lines of an inspection after an event that found everything good: measures and mating
    checks by name, `all others` for the rest."""
    rows = []
    for line, result, value, mate in measures:
        rows.append([item, day, at, AFTER, by, mate, "", line, result, value, "", "", ""])
    rows.append([item, day, at, AFTER, by, "", "", "all others", "good", "", "", "", ""])
    return rows


def device(item, day, at, by, surface, metre):
    """A device after an event."""
    return good(item, day, at, by, ("device-surface-rate", "", f"{surface} mR/h", ""),
                ("device-metre-rate", "", f"{metre} mR/h", ""))


def control_unit(item, day, at, by, diameter, tilt, mate, source):
    """A control unit after an event, with its two mating checks."""
    return good(item, day, at, by, ("cable-diameter", "", f"{diameter} mm", ""),
                ("cable-connector-tilt", "", f"{tilt} deg", ""),
                ("connector-mating", "good", "", mate), ("connector-gauge", "good", "", source))


def event(kind, occurred, words, *rest):
    """The words of `event open`."""
    return ["event", "open", "--kind", kind, "--occurred", occurred, "--words", words, *rest]


def cause(name, of, component, failure, because, at):
    """The words of `event cause`."""
    return ["event", "cause", name, "--of", of, "--component", component, "--failure", failure,
            "--because", because, "--at", at]


def action(name, words, who, done):
    """The words of `event action` for what is done already."""
    return ["event", "action", name, "--words", words, "--performed-by", who, "--done", done]


def conclude(name, item, coverage, because, on, of):
    """The words of `trace conclude`."""
    return ["trace", "conclude", name, item, "--coverage", coverage, "--because", because,
            "--performed-by", "W01", "--on", on, "--of", of]


def answer(name, question, yes, because, at):
    """The words of `notice answer`."""
    return ["report", "answer", name, question, "yes" if yes else "no", "--because", because,
            "--at", at]


def told(name, duty, to, at, reference=None):
    """The words of `notice done`."""
    words = ["report", "done", name, duty, "--performed-by", "W01", "--to", to, "--at", at]
    return words + (["--reference", reference] if reference else [])


def answers(office, on, hour, rso, name, at, **other):
    """The questions of the rules, answered by the RSO: nothing more was at stake than `other`
    says."""
    says = {"prevents-protection": (False, "the crew held the area, and nothing kept anyone from acting"),
            "safety-equipment": (True, "it keeps the source in its shielded position"),
            "required-operable": (True, "it was in use"),
            "no-redundant": (False, "the source was home, and a second set was on standby"),
            "component-failed": (True, "safe operation depends on this component"),
            "defect": (False, "wear or damage in use, not a manufacturing deviation"),
            "lens-extremity": (False, "no head, hands or feet were nearer than the trunk"),
            "unrestricted-area": (False, "the boundary survey showed nothing above it")}
    says.update({key.replace("_", "-"): value for key, value in other.items()})
    for question, (yes, because) in says.items():
        office.step(on, hour, rso, answer(name, question, yes, because, at))


def report_and_end(office, rso, name, reported, ended, words, *duties):
    """The written report, by the letter of its day, and the end of the event."""
    for duty in ("written-34-101", *duties):
        office.step(reported, 20, rso, told(name, duty, "the authority, in writing",
                                            f"{reported}T13:30", f"letter {reported}"))
    office.step(ended, 20, rso, ["event", "close", name, "--performed-by", "W01", "--on",
                                 ended.isoformat(), "--words", words])


def lock(office, rso, designee):
    """The source would not lock; the screw was missing since the round of the Saturday before."""
    day, name = "2025-05-07", "E-1"
    on = date.fromisoformat(day)
    office.step(on, 14, designee, event(
        "source-will-not-lock", "2025-05-07T04:10",
        "lock slide did not close at the end of the shift; crank held the source home until the "
        "plate was pressed down", "--job", "JOB-04", "--equipment", "ED-04",
        "--person", "W11=cranked and held the crank", "--person", "W12=pressed the plate down, "
        "surveyed, locked"))
    office.step(on, 14, designee, [
        "event", "note", name, "--at", "2025-05-07T04:12", "--words",
        "survey meter at the device: 14 mR/h, source home", "--barrier", "survey=present",
        "--person", "W12"])
    office.step(on, 17, rso, cause(
        name, "ED-04", "lock", "lock-failure",
        "the lock plate lifted where its screw was missing, and the slide jammed under it",
        "2025-05-07T10:30"))
    office.table(on, 18, designee, ["inspect", "import"], f"inspections/{day}-{name}.csv", HEAD,
                 device("ED-04", day, "10:40", "W02", 15, "0.5"))
    for item, coverage, why in (
            ("device-lock-fasteners", "can detect", "the missing screw was seen and recorded on "
                                                    "Saturday; it was visible every day"),
            ("device-lock", "cannot detect", "the key turned freely even with the plate lifted"),
            ("device-securing", "cannot detect", "the slide jams only under the pull of the crank")):
        office.step(on, 19, rso, conclude(name, item, coverage, why, day, "ED-04"))
    office.step(on, 19, rso, action(name, "a device with an open defect gets a red tag on the "
                                    "lock box, and its keys go to the RSO", "W01", day))
    answers(office, on, 20, rso, name, f"{day}T11:00")
    report_and_end(office, rso, name, date(2025, 5, 27), date(2025, 6, 3),
                   "a known defect was not acted on")


def ratemeter(office, rso, designee):
    """A ratemeter stayed silent; its alarm was not tried that morning."""
    day, name = "2025-08-22", "E-2"
    on = date.fromisoformat(day)
    office.step(on, 14, designee, event(
        "meter-failure", "2025-08-21T09:20",
        "W13's ratemeter stayed silent at the crank while the other one sounded; battery contact bent",
        "--discovered", "2025-08-21T09:24", "--job", "JOB-07", "--equipment", "RM-13",
        "--person", "W13=wore the ratemeter", "--person", "W11=heard their own ratemeter, sent W13 "
                                                              "back"))
    office.step(on, 14, designee, [
        "event", "note", name, "--at", "2025-08-21T09:20", "--words",
        "RM-13 made no sound", "--barrier", "alarm ratemeter=off", "--person", "W13"])
    office.step(on, 15, rso, cause(
        name, "RM-13", "alarm", "ratemeter-failure",
        "a bent battery contact; the sheet says that the alarm was not tested before the shift",
        "2025-08-22T09:00"))
    office.table(on, 18, designee, ["inspect", "import"], f"inspections/{day}-{name}.csv", HEAD,
                 good("RM-13", day, "10:10", "W02"))
    office.step(on, 19, rso, conclude(name, "ratemeter-sounds", "can detect",
                                      "it makes no sound at the check source either", day,
                                      "RM-13"))
    office.step(on, 19, rso, action(name, "the lead hears each ratemeter before the first "
                                    "exposure and says so on the sheet", "W01", day))
    answers(office, on, 20, rso, name, f"{day}T11:00")
    report_and_end(office, rso, name, date(2025, 9, 12), date(2025, 9, 19),
                   "a bent contact, and an alarm that was not tested")


def tube(office, rso, designee):
    """A stand fell on a guide tube between two exposures."""
    day, name = "2025-09-11", "E-3"
    on = date.fromisoformat(day)
    office.step(on, 17, designee, event(
        "guide-tube-damaged", "2025-09-11T10:20",
        "tripod with the collimator fell on the first tube, source home; dent near the fitting",
        "--job", "JOB-01", "--equipment", "GT-31", "--person", "W08=moved the tripod",
        "--person", "W09=was at the crank"))
    office.step(on, 17, designee, [
        "event", "note", name, "--at", "2025-09-11T10:22", "--words",
        "survey at the tube and the device after it fell: source home", "--barrier",
        "survey=present", "--person", "W08"])
    office.step(on, 18, rso, cause(
        name, "GT-31", "tube", "guide-tube-damaged",
        "the dent matches the tripod's foot and has its paint", "2025-09-11T13:00"))
    office.table(on, 21, designee, ["inspect", "import"], f"inspections/{day}-{name}.csv", HEAD,
                 good("GT-31", day, "15:40", "W02"))
    for item in ("tube-kinks", "tube-cuts"):
        office.step(on, 22, rso, conclude(name, item, "arose after the last inspection",
                                          "the tripod fell at 10:20; the tube was inspected before "
                                          "07:00", day, "GT-31"))
    office.step(on, 22, rso, action(name, "dented section replaced with the spare; tripods are now "
                                          "weighted before a tube is coupled", "W01", day))
    answers(office, on, 22, rso, name, f"{day}T16:00",
            component_failed=(False, "the source was home, and the tube was "
                                               "taken off before the next exposure"),
            source_not_secured=(False, "the source was home when the tripod fell"))
    office.step(date(2025, 9, 19), 20, rso, [
        "event", "close", name, "--performed-by", "W01", "--on", "2025-09-19", "--words",
        "no inspection beforehand could have shown it"])


def disconnect(office, rso, designee):
    """A connector parted as the source came home; the gauge had passed it in October."""
    day, name = "2025-12-04", "E-4"
    on = date.fromisoformat(day)
    office.step(on, 21, designee, event(
        "disconnect", "2025-12-04T14:10",
        "cable came back without the source assembly; source home and locked",
        "--job", "JOB-09", "--equipment", "ED-03", "--equipment", "CU-03",
        "--person", "W07=cranked, surveyed", "--person", "W09=kept the boundary"))
    office.step(on, 21, designee, [
        "event", "note", name, "--at", "2025-12-04T14:12", "--words",
        "survey meter from the crank to the device: 16 mR/h at the surface, source home",
        "--barrier", "survey=present", "--person", "W07"])
    office.step(on, 22, rso, cause(
        name, "CU-03", "cable connector", "disconnect",
        "neck broke inside the crimp; old crack, dark over two thirds",
        "2025-12-04T15:30"))
    rows = device("ED-03", day, "16:10", "W02", 18, "0.6")
    rows += control_unit("CU-03", day, "16:20", "W02", "6.00", 1, "ED-03", "SA-13")
    office.table(on, 23, designee, ["inspect", "import"], f"inspections/{day}-{name}.csv", HEAD,
                 rows)
    for item, why in (
            ("connector-gauge", "the crack was in the neck; the gauge bears on the ball"),
            ("cable-connector-tilt", "the uncracked third held the neck straight"),
            ("cable-connector", "the crack was under the crimp, out of sight"),
            ("connector-mating", "a hand pull is far weaker than the crank")):
        office.step(on, 23, rso, conclude(name, item, "cannot detect", why, day, "CU-03"))
    office.step(on, 23, rso, action(name, "maker's shop replaced the connector; crimps of all "
                                          "cables dye-checked", "W01", day))
    answers(office, on, 23, rso, name, f"{day}T15:45",
            no_redundant=(True, "nothing else holds a source on its cable"))
    office.step(on, 23, rso, told(name, "call-30-50-b", "the authority's operations center",
                                  f"{day}T16:05", "call 51-204"))
    report_and_end(office, rso, name, date(2025, 12, 22), date(2026, 1, 9),
                   "no inspection item covers a crack there", "written-30-50")


def stop(office, rso, designee):
    """A source stop worn through, looked at three months before."""
    day, name = "2026-01-23", "E-5"
    on = date.fromisoformat(day)
    office.step(on, 14, designee, event(
        "source-stop-worn-through", "2026-01-23T03:30",
        "two more turns than usual at the end of the exposure; hole in the end of the tube",
        "--job", "JOB-11", "--equipment", "GT-11", "--person", "W03=cranked",
        "--person", "W05=surveyed"))
    office.step(on, 14, designee, [
        "event", "note", name, "--at", "2026-01-23T03:34", "--words",
        "source came home on the first try; tube and device surveyed",
        "--barrier", "survey=present", "--person", "W05"])
    office.step(on, 16, rso, cause(
        name, "GT-11", "source stop", "source-stop-worn-through",
        "worn through from the inside by repeated impact over a long time", "2026-01-23T10:00"))
    office.table(on, 18, designee, ["inspect", "import"], f"inspections/{day}-{name}.csv", HEAD,
                 good("GT-11", day, "11:40", "W02"))
    office.step(on, 19, rso, conclude(name, "source-stop", "can detect",
                                      "a pin detects thin metal by sound; looking from outside "
                                      "does not, and the list only asks for a look", day, "GT-11"))
    office.step(on, 19, rso, action(name, "new end piece; all end pieces tested with a pin",
                                    "W01", day))
    answers(office, on, 20, rso, name, f"{day}T11:50")
    report_and_end(office, rso, name, date(2026, 2, 16), date(2026, 2, 20),
                   "looking from outside missed it; the pin test is now on the list")


def retrieval(office, rso, designee):
    """The source that would not come home, ED-02 with CU-02."""
    name = "E-6"
    on = date.fromisoformat("2026-05-19")
    office.step(on, 18, designee, event(
        "source-will-not-retract", "2026-05-19T11:05",
        "source stuck in the second tube, about 4 m out; area closed, RSO called",
        "--discovered", "2026-05-19T11:07", "--job", "JOB-11", "--place",
        "third weld from the north valve", "--equipment", "ED-02", "--equipment", "CU-02",
        "--equipment", "GT-21", "--equipment", "GT-22", "--equipment", "SA-20",
        "--person", "W03=cranked, held the boundary", "--person", "W05=surveyed, held the "
        "boundary", "--person", "W06=kept people away", "--person", "W01=retrieved the source",
        "--person", "W02=planned the recovery with the RSO, timed the steps",
        "--unmonitored", "a valve fitter=stood about 40 m off until 11:12"))
    office.step(on, 18, designee, [
        "event", "note", name, "--at", "2026-05-19T11:06", "--words",
        "survey meter off-scale at 10 m on the way to the device", "--barrier",
        "survey=present", "--person", "W03"])
    office.step(on, 18, designee, [
        "event", "note", name, "--at", "2026-05-19T11:06", "--words",
        "ratemeters of W03 and W05 sounded", "--barrier", "alarm ratemeter=present",
        "--person", "W05"])
    office.step(on, 18, designee, [
        "event", "note", name, "--at", "2026-05-19T11:12", "--words",
        "fitter led away beyond the boundary", "--person", "W06"])
    later = date.fromisoformat("2026-05-20")
    office.step(later, 14, rso, [
        "event", "note", name, "--at", "2026-05-19T17:00", "--words",
        "source home and locked; device surface 19 mR/h", "--barrier", "survey=present",
        "--person", "W01"])
    office.step(later, 16, rso, [
        "event", "cause", name, "--not-found", "--because",
        "tubes straight, device channel clear; cable still to be inspected", "--at",
        "2026-05-19T18:30"])
    for sheet in ("A-2026-05-19-day", "A-2026-05-19-evening-retrieval"):
        office.step(later, 17, rso, ["event", "link", name, sheet])
    for question, yes, because in (
            ("prevents-protection", False, "the boundary was held from 11:12 on"),
            ("safety-equipment", True, "the drive returns the source to its shield"),
            ("required-operable", True, "a source was out"),
            ("no-redundant", True, "there is one drive"),
            ("control-lost", False, "the crew held the area the whole time"),
            ("lens-extremity", False, "1.5 m tongs; no hands were nearer than the trunk"),
            ("source-not-secured", True, "it could not be brought home by the "
             "crank"),
            ("at-once-20-2202", False, "the fitter: 40 m, 51 Ci, 7 minutes, about 2 mrem"),
            ("written-20-2203", False, "the fitter: about 2 mrem, estimated from time and "
                                       "distance; everyone else wore dosimeters")):
        office.step(later, 18, rso, answer(name, question, yes, because, "2026-05-19T14:00"))
    office.step(later, 18, rso, told(name, "call-30-50-b", "the authority's operations center",
                                     "2026-05-19T14:20", "call 52-117"))
    looked = date.fromisoformat("2026-05-21")
    office.step(looked, 15, rso, cause(
        name, "CU-02", "drive cable", "source-will-not-retract",
        "worn below its limit behind the connector, strands caught in the tube's fitting",
        "2026-05-20T15:20"))
    office.step(looked, 15, designee, [
        "event", "note", name, "--at", "2026-05-18T13:00", "--words",
        "cranking was heavy on Monday afternoon; not reported because the source came home",
        "--person", "W05"])
    for item, why in (
            ("cable-diameter", "the gauge read 5.75 mm ten days before, below the limit"),
            ("cable-behind-connector", "broken strands there can be seen and felt")):
        office.step(looked, 16, rso, conclude(name, item, "can detect", why, "2026-05-21",
                                              "CU-02"))
    office.step(looked, 16, rso, [
        "event", "action", name, "--words",
        "cables below 5.80 mm are destroyed, and a second person reads the gauge", "--performed-by",
        "W01", "--due", "2026-06-12"])


def morning(office, rso, designee):
    """A lock found broken at the check before the set went out; nobody knows since when."""
    day, name = "2026-05-28", "E-7"
    on = date.fromisoformat(day)
    check = [[*row] for row in (
        ["ED-05", day, "06:35", "daily", "W11", "", "", "device-surface-rate", "", "6 mR/h", "",
         "", ""],
        ["ED-05", day, "06:35", "daily", "W11", "", "", "device-lock", "defect", "",
         "the plunger stays in when the key is turned back", "stayed in the vault, RSO told", ""],
        ["ED-05", day, "06:35", "daily", "W11", "", "", "all others", "good", "", "", "", ""])]
    office.table(on, 13, designee, ["inspect", "import"], f"inspections/{day}-ED-05.csv", HEAD,
                 check)
    office.step(on, 14, designee, event(
        "lock-failure", "between 2026-05-17 and 2026-05-28",
        "found at the check in the vault before the set went out; source home",
        "--discovered", f"{day}T06:35", "--job", "JOB-01", "--equipment", "ED-05",
        "--person", "W11=made the check"))
    office.step(on, 14, designee, [
        "event", "note", name, "--at", f"{day}T06:36", "--words",
        "survey meter at the device: 6 mR/h, source home", "--barrier", "survey=present",
        "--person", "W11"])
    office.step(on, 17, rso, cause(name, "ED-05", "lock", "lock-failure",
                                   "the plunger spring is broken; the break is bright",
                                   f"{day}T10:00"))
    office.table(on, 18, designee, ["inspect", "import"], f"inspections/{day}-{name}.csv", HEAD,
                 device("ED-05", day, "11:20", "W02", 6, "0.1"))
    office.step(on, 19, rso, conclude(
        name, "device-lock", "arose after the last inspection",
        "the break is new, and the lock was tested on 2026-05-16", day, "ED-05"))
    office.step(on, 19, rso, action(name, "new spring; the springs of the other five devices inspected",
                                    "W01", day))
    answers(office, on, 20, rso, name, f"{day}T12:30",
            exposure_possible=(False, "the source was home, and no set had gone out"))
    report_and_end(office, rso, name, date(2026, 6, 2), date(2026, 6, 3),
                   "a spring broke between two inspections; the check meant for it found it")


def ice(office, rso, designee):
    """Ice in a tube, told two months later: only the month is known."""
    day, name = "2026-05-28", "E-8"
    on = date.fromisoformat(day)
    office.step(on, 21, rso, event(
        "source-will-not-retract", "2026-03",
        "reported at the safety meeting: one morning in March the source stuck in the tube for "
        "some minutes and came home when the ice thawed; nobody recorded it",
        "--discovered", f"{day}T15:50", "--job", "JOB-12", "--equipment", "ED-03",
        "--equipment", "CU-03", "--equipment", "GT-31", "--person", "W07=cranked",
        "--person", "W09=kept the boundary"))
    office.step(on, 21, rso, [
        "event", "note", name, "--at", f"{day}T15:50", "--words",
        "W07: the meter showed that the source was out, and nobody went near", "--barrier",
        "survey=present", "--person", "W07"])
    office.step(on, 22, rso, cause(name, "GT-31", "bore", "source-will-not-retract",
                                   "the tube lay in the wet overnight; water ran out at noon",
                                   f"{day}T16:10"))
    office.table(on, 22, designee, ["inspect", "import"], f"inspections/{day}-{name}.csv", HEAD,
                 device("ED-03", day, "16:30", "W02", 29, "0.9")
                 + control_unit("CU-03", day, "16:50", "W02", "5.92", 4, "ED-03", "SA-22")
                 + good("GT-31", day, "17:10", "W02"))
    office.step(on, 22, rso, conclude(
        name, "tube-inside", "can detect", "water in the bore shows against the light", day,
        "GT-31"))
    office.step(on, 22, rso, action(name, "tubes are capped and stored dry overnight; any source "
                                          "out longer than planned is reported the same day", "W01", day))
    answers(office, on, 22, rso, name, f"{day}T16:20",
            no_redundant=(True, "there was one tube, and the source was in it"),
            exposure_possible=(False, "both stood at the boundary, with readings as on any other day"))
    office.step(on, 22, rso, told(name, "call-30-50-b", "the state's duty officer",
                                  f"{day}T16:35", "call 88-204"))
    report_and_end(office, rso, name, date(2026, 6, 2), date(2026, 6, 3),
                   "reported late: a tube left in the wet", "written-30-50")


def put(office, rso, designee):
    """Every event with its inspections."""
    for one in (lock, ratemeter, tube, disconnect, stop, retrieval, morning, ice):
        one(office, rso, designee)
    # The event that is open has the photo of what failed in it.
    office.files["photos/E-6-cable.png"] = photo.worn_cable()
    office.step(date(2026, 6, 4), 23, rso, [
        "evidence", "add", "photos/E-6-cable.png", "--about", "E-6", "--words",
        "drive cable of CU-02, worn behind its connector"])
