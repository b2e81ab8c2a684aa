"""The parts of the demo's generator.

company    who and what there is: people, jobs, equipment, instruments, checks
roster     who works when, with which set (the regular weeks)
story      the fixed days on which something happens on purpose
badges     who wore which badge, and what its processor reported
points     checks of instruments with what was set and what was shown
maintenance     parts fitted, leak tests, inventories, source exchanges, servicing
looks      inspections: the check of each day, and the rounds of the quarter
training   certification, refresher training, job performance inspection
sheets     rosters and stories turned into the rows of the sheet files
script     the dated steps in which the office wrote it all into the ledger
readback   the written CSVs read again, with nothing shared with the parts above
hand       doses of record by hand, from the files read again
check      the rules that the written files must keep
check_badges  the same for badges, reports, determinations, qualifications
hand_maintenance  wear, look-back and overdue maintenance by hand, from the files read again
check_maintenance  the rules and hidden things of inspections, parts, calibrations and counts
readme     the tables of README.md, worked out from the files read back
"""
