//! The lines that a ledger under each rule set is walked with: every command of the program.

/// What a crew under an SI rule set writes down over a month: two people, one of them under 18 in
/// training, a badge each, a retrieval event, a part with a defect, mistakes at the keyboard.
pub const WRITTEN: &[&str] = &[
    "worker add --id W01 --name \"Ada Example\" --role rso --birth-date 1980-03-14 \
     --monitored-from 2026-01-01",
    "worker add --id W02 --name \"Ben Sample\" --role radiographer --birth-date 1991-07-02 \
     --monitored-from 2026-01-01",
    "worker add --id W03 --name \"Cy Young\" --role assistant --category apprentice \
     --birth-date 2009-07-02 --monitored-from 2026-01-01",
    "worker add --id W04 --name \"Di Early\" --role assistant --birth-date 2011-07-02 \
     --monitored-from 2026-01-01",
    "job add --id J-1 --place \"Tank farm\" --jurisdiction HOME --setting \"temporary jobsite\" \
     --zone Africa/Lagos",
    "instrument add --id ED-1 --type \"electronic dosimeter\" --serial 1 --unit uSv \
     --range \"10 mSv\"",
    "instrument add --id PD-2 --type \"pocket dosimeter\" --serial 2 --unit uSv \
     --range \"2000 uSv\"",
    "instrument add --id PD-3 --type \"pocket dosimeter\" --serial 3 --unit uSv \
     --range \"2000 uSv\"",
    "instrument add --id RM-1 --type \"alarm ratemeter\" --serial 4 --alarm-preset \"5 mSv/h\"",
    "instrument add --id SM-1 --type \"survey meter\" --serial 5 --scale linear \
     --scales \"0.1 mSv/h / 1 mSv/h / 10 mSv/h\"",
    "instrument check --instrument RM-1 --on 2026-05-01 --type calibration --result pass \
    --performed-by Lab",
    "instrument check --instrument SM-1 --on 2026-05-01 --type calibration --result pass \
    --performed-by Lab",
    "equipment add --id D-1 --type \"exposure device\" --serial 7",
    "equipment add --id CU-1 --type \"control unit\" --serial 8",
    "equipment add --id S-1 --type \"source assembly\" --serial 9 --nuclide Ir-192 \
     --activity \"3 TBq\" --activity-on 2026-05-01",
    "equipment load --device D-1 --source S-1 --on 2026-05-02 --performed-by W01",
    "equipment leak-test --item S-1 --on 2026-05-03 --part source --removable \"< 5 Bq\" \
     --performed-by \"Wipe Lab\"",
    "checklist adopt general --from 2026-05-01",
    "badge issue --badge 0001 --type \"whole body\" --worker W01 --first-day 2026-05-01 \
     --last-day 2026-05-31",
    "badge issue --badge 0002 --type \"whole body\" --worker W02 --first-day 2026-05-01 \
     --last-day 2026-05-31",
    "sheet enter --day 2026-05-11 --shift day --job J-1 --work radiography --device D-1 \
     --source S-1 --meter SM-1 --exposures 12 --source-out-min 20 --boundary \"20 uSv/h\" \
     --storage-survey \"6 uSv/h\" --attested-by W01 \
     --person \"worker=W01, role=radiographer, dosimeter=ED-1, start=0, end=120, \
     ratemeter=RM-1, alarm_tested=yes, badge_worn=yes\" \
     --person \"worker=W02, role=radiographer, dosimeter=PD-2, start=0, end=140, \
     ratemeter=RM-1, alarm_tested=no, badge_worn=yes\"",
    "sheet enter --day 2026-05-12 --shift day --job J-1 --work radiography --device D-1 \
     --source S-1 --meter SM-1 --exposures 12 --source-out-min 20 --boundary \"20 uSv/h\" \
     --storage-survey \"6 uSv/h\" --attested-by W01 \
     --person \"worker=W01, role=radiographer, dosimeter=ED-1, start=0, end=22120, \
     ratemeter=RM-1, alarm_tested=yes, badge_worn=yes\" \
     --person \"worker=W02, role=radiographer, dosimeter=PD-2, start=10, off_scale=yes, \
     ratemeter=RM-1, alarm_tested=yes, badge_worn=yes\" \
     --person \"worker=W04, role=assistant, dosimeter=PD-3, start=0, end=70, badge_worn=yes\"",
    "badge return --badge 0001 --on 2026-05-31",
    "badge result --badge 0001 --report LAB-1 --reported-on 2026-06-10 --deep \"0.11 mSv\" \
     --lens \"0.11 mSv\" --shallow \"0.12 mSv\"",
    "badge lost --badge 0002 --on 2026-05-20",
    "inspect enter --item CU-1 --on 2026-05-12 --at 06:20 --when quarterly --performed-by W02 \
     --line \"connector-mating=good, with=D-1\" --line \"connector-gauge=not done\" \
     --line \"all others=good\"",
    "event open --kind disconnect --occurred 2026-05-12T10:00 --discovered 2026-05-12T10:05 \
     --job J-1 --equipment D-1 --equipment S-1 --person \"W02=cranked\" \
     --words \"the source did not come home\"",
    "event person E-1 --near W02=hand",
    "determination enter --worker W02 --sheet entry:24 --dosimeter PD-2 --quantity deep \
     --dose \"4 mSv\" --relation \"until result\" --method co-worker --basis \"W01 beside\" \
     --on 2026-05-13 --performed-by W01",
    "worker prior-dose --worker W02 --first-day 2026-01-01 --last-day 2026-03-31 --employer Other \
     --deep \"1 mSv\" --basis \"signed letter\"",
    "worker dose-request --worker W02 --employer Other --first-day 2025-01-01 \
     --last-day 2025-12-31 --on 2026-05-01",
    "worker pregnancy --worker W01 --notice-on 2026-05-20 --conception-on 2026-04-01",
    "sheet start --day 2026-05-15 --shift day --begins 07:00 --job J-1 --work radiography \
     --device D-1 --meter SM-1 --meter-checked yes --person \"worker=W01, role=radiographer, \
     dosimeter=ED-1, recharged=yes, start=0, ratemeter=RM-1, alarm_tested=yes, badge_worn=yes\"",
];

/// Mistakes at the keyboard: what would be right is said in the units of the rule set.
pub const MISTAKES: &[&str] = &[
    "determination enter --worker W02 --first-day 2026-05-12 --last-day 2026-05-12 --quantity deep \
     --dose 4 --method co-worker --basis x --on 2026-05-13 --performed-by W01",
    "badge result --badge 0001 --report LAB-2 --reported-on 2026-06-11 --deep lots",
    "instrument add --id ED-9 --type \"electronic dosimeter\" --serial 9",
    "equipment add --id S-9 --type \"source assembly\" --serial 10 --nuclide Ir-192 \
     --activity much",
    "job add --id J-9 --place there --jurisdiction x --setting y --zone z",
    "dose plan --source S-1 --budget much",
    "sheet enter --day 2026-05-13 --shift day --job J-1 --work radiography --device D-1 \
     --attested-by W01 --person \"worker=W01, role=radiographer, dosimeter=ED-1, start=a, end=1\"",
    "worker prior-dose --worker W02 --first-day 2026-01-01 --last-day 2026-03-31 --employer Other \
     --basis x --deep much",
];

/// `entry show` of an adoption is not among them: it prints the text as it was adopted.
pub const ASKED: &[&str] = &[
    "alerts",
    "alerts --for W02 --peek",
    "board",
    "board --on 2026-05-12",
    "work-status",
    "work-status W01",
    "work-status W02",
    "work-status W04",
    "findings",
    "findings --on 2026-05-31",
    "hold list",
    "review 2026-05",
    "review 2026",
    "dose show W01 --year 2026 --why",
    "dose show W02 --year 2026 --why",
    "dose show W03 --year 2026 --why",
    "dose crew --year 2026",
    "dose forecast W01",
    "dose reconcile --year 2026",
    "dose lists --year 2026",
    "dose statement W01 --year 2026",
    "dose statement W02 --year 2026",
    "dose plan --source S-1 --shield \"lead 10 mm\" --budget \"1 mSv\"",
    "dose plan --source S-1",
    "dose reconstruct --source S-1 --at 2026-05-12T10:00 --worker W02 \
     --position \"what=at the tube, distance=1 m, minutes=40 s, shield=lead 25 mm\"",
    "event show E-1",
    "event list",
    "report list",
    "report show E-1",
    "trace E-1",
    "trace ranking",
    "wear list",
    "wear show CU-1",
    "pack J-1",
    "worker list",
    "job list",
    "instrument list",
    "instrument show ED-1",
    "instrument due --within 90",
    "equipment list",
    "equipment show D-1",
    "equipment show S-1",
    "equipment due --within 90",
    "due --within 90",
    "alerts",
    "ledger calendar list",
    "inspect list CU-1 --year 2026",
    "inspect show 28",
    "form inspect D-1 --when quarterly",
    "form inspect CU-1 --when daily",
    "form inspect SM-1 --when daily",
    "checklist show",
    "checklist show --json",
    "checklist show general",
    "checklist compare general",
    "badge list",
    "determination list",
    "checklist list",
    "sheet template",
    "inspect template",
    "ledger verify --full",
    "ledger seal",
    "private show W01",
    "entry history 26",
    "rules show OWN",
    "dose leaver W02 --on 2026-06-10 --out DIR/leaver",
    "dose statement --all --year 2026 --out DIR/statements",
    "report draft E-1 --out DIR/report",
    "pack J-1 --out DIR/papers",
    "review 2026 --out DIR/reviews",
    "trace show E-1 --out DIR/trace.html",
    "chart worker W01 --year 2026 --out DIR/w01.svg",
    "chart crew --year 2026 --out DIR/crew.svg",
    "chart collective --year 2026 --out DIR/collective.svg",
    "chart reconcile --year 2026 --out DIR/reconcile.svg",
];

/// What else there is to write and to ask, once the month was read.
pub const AFTER: &[&str] = &[
    "rules adopt OWN --from 2031-01-01 --dry-run",
    "dose breakdown --year 2026",
    "records utilization",
    "records inventories",
    "records sources",
    "records leak-tests",
    "records calibrations",
    "records lapsed",
    "records tracking",
    "records yearly-reports",
    "worker show W01",
    "worker show W02",
    "worker show W03",
    "entry show 24",
    "entry correct 24 exposures=13 --reason \"a slip\"",
    "chart due --out DIR/due.svg",
    "chart trace E-1 --out DIR/trace.svg",
    "chart ranking --out DIR/ranking.svg",
    "worker role --worker W02 --role radiographer --from 2026-06-01",
    "worker alert --worker W02 --of everything --from 2026-06-01",
    "worker monitoring --worker W02 --on 2026-06-01 --change ends",
    "worker missing-quarter --worker W02 --year 2025 --quarter 4 --exposure-possible yes",
    "worker authorization --worker W02 --level x --first-day 2026-01-01 --last-day 2026-12-31 \
     --basis letter",
    "worker planned-exposure --worker W02 --first-day 2026-05-12 --last-day 2026-05-12 \
     --authorized-on 2026-05-01 --basis letter",
    "worker opening-total --worker W02 --period 2025 --deep \"1 mSv\" --source book",
    "worker qualification --worker W02 --type certification --on 2026-01-01 --performed-by Board",
    "instrument service --instrument SM-1 --on 2026-05-20 --type servicing --performed-by Lab \
     --what \"new switch\"",
    "instrument calibrate SM-1 --on 2026-05-21 --performed-by Lab \
     --point \"found, scale=1 mSv/h, true=0.1 mSv/h, reads=0.11 mSv/h\"",
    "equipment out-of-service --item CU-1 --on 2026-05-20 --reason worn --performed-by W01",
    "equipment return --item CU-1 --on 2026-05-21 --done cleaned --performed-by W01",
    "equipment install --equipment CU-1 --component cable --installed-on 2026-05-22 \
    --performed-by W01",
    "equipment inventory --on 2026-05-20 --performed-by W01 --found \"D-1 S-1\"",
    "equipment source-check --type \"presence check\" --sources S-1 --on 2026-05-20 \
    --performed-by W01",
    "badge send --badge 0001 --on 2026-06-01",
    "badge damaged --badge 0001 --on 2026-06-01",
    "determination notional --worker W02 --first-day 2026-05-01 --last-day 2026-05-31",
    "event note E-1 --at 2026-05-12T10:20 --words \"asked the crew\"",
    "event link E-1 24",
    "event cause E-1 --not-found --because \"nothing was found\"",
    "event action E-1 --performed-by W01 --words \"looked again\" --by W01 --done 2026-05-14",
    "report answer E-1 lens-extremity yes --because \"near the tube\"",
    "ledger rebuild",
    "ledger upgrade",
    "equipment labels --out DIR/labels.html",
    "instrument labels --out DIR/instruments.html",
    "form sheet --out DIR/sheet.html",
    "form inspect D-1 --out DIR/inspect.html",
    "evidence list",
    "ledger backup DIR/copy.db",
    "ledger calendar new --label office",
    "ledger calendar withdraw 1",
    "ledger export DIR/exported",
];

/// What is refused, with what would be right.
pub const REFUSED: &[&str] = &[
    "ledger restore DIR/exported/entries.jsonl",
    "badge labels 9999 --out DIR/badges.html",
    "evidence add DIR/wrong.csv --about E-1 --words x",
    "evidence show 1",
    "evidence save 1 --out DIR/none.jpg",
    "ledger copies --dir DIR/nowhere --keep 3",
    "evidence erase 1 --performed-by W01 --reason x",
    "rules check DIR/wrong.csv",
    "checklist check DIR/wrong.csv",
    "trace conclude E-1 connector-gauge --coverage much --because worn --performed-by W01",
    "hold resolve 1 --counts --reason x",
    "worker pin W99 --remove",
    "dose resolve --of-record 28 --reason x --performed-by W01",
    "review changes 2026-05",
    "review sent 2026 --worker W02 --performed-by Ada --on 2026-06-01",
    "finding answer x --reason y",
    "event happening E-1 off-scale --at 2026-05-12T10:02",
    "event close E-1 --words done --on 2020-06-01 --performed-by W01",
    "report done E-1 letter --performed-by Ada --to \"the office\"",
    "entry void 1 --reason x",
    "entry reinstate 24 --reason x",
    "private set W01 --sex F",
    "private erase W01 sex --reason x",
    "chart wear CU-1 --out DIR/wear.svg",
    "badge read --badge 0001 --on 2026-06-01",
    "badge accept --report LAB-1 --performed-by W01",
    "badge resolve 0001 --of-record result --reason x --performed-by W01",
    "job import DIR/wrong.csv",
    "worker import DIR/wrong.csv",
    "worker roles DIR/wrong.csv",
    "worker alerts DIR/wrong.csv",
    "worker monitoring-changes DIR/wrong.csv",
    "worker pregnancies DIR/wrong.csv",
    "worker prior-doses DIR/wrong.csv",
    "worker opening-totals DIR/wrong.csv",
    "worker missing-quarters DIR/wrong.csv",
    "worker dose-requests DIR/wrong.csv",
    "worker authorizations DIR/wrong.csv",
    "worker qualifications DIR/wrong.csv",
    "worker planned-exposures DIR/wrong.csv",
    "instrument import DIR/wrong.csv",
    "instrument checks DIR/wrong.csv",
    "instrument services DIR/wrong.csv",
    "instrument calibrations DIR/wrong.csv",
    "equipment import DIR/wrong.csv",
    "equipment out-of-service-list DIR/wrong.csv",
    "equipment returns DIR/wrong.csv",
    "equipment parts DIR/wrong.csv",
    "equipment leak-tests DIR/wrong.csv",
    "equipment inventories DIR/wrong.csv",
    "equipment loads DIR/wrong.csv",
    "equipment source-checks DIR/wrong.csv",
    "badge import DIR/wrong.csv",
    "badge issues DIR/wrong.csv",
    "badge returns DIR/wrong.csv",
    "badge sent-to-processor DIR/wrong.csv",
    "badge lost-badges DIR/wrong.csv",
    "badge damaged-badges DIR/wrong.csv",
    "badge results DIR/wrong.csv",
    "badge reads DIR/wrong.csv",
    "determination import DIR/wrong.csv",
    "sheet import DIR/wrong.csv",
    "inspect import DIR/wrong.csv",
];

/// Commands that speak of no ledger, or of that of the demonstration, which is under 10 CFR, and
/// the one that lists every built-in rule set.
pub const OF_NO_LEDGER: &[&str] = &["help", "man", "completions", "demo", "serve", "rules list"];
