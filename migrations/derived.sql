-- What the entries say, as tables. Nothing here is a source: `ledger rebuild`
-- drops these tables and fills them again from `entry`.
--
-- Every row says in which entry it stands. `ended_by` names the entry that
-- replaced or voided that one; rows in force have it NULL:
--     SELECT ... WHERE ended_by IS NULL
-- and what was known at entry N is
--     SELECT ... WHERE entry <= N AND (ended_by IS NULL OR ended_by > N)
-- A column that points to a worker, an instrument and so on holds the record,
-- which is the number of its first entry and never changes.

CREATE TABLE record (
    id      INTEGER PRIMARY KEY REFERENCES entry (seq), -- number of its first entry
    kind    TEXT    NOT NULL,
    key     TEXT    NOT NULL,                           -- its present name
    current INTEGER NOT NULL REFERENCES entry (seq),    -- its newest entry
    voided  INTEGER NOT NULL CHECK (voided IN (0, 1)),
    own_row TEXT,                                       -- its row's number in the office's file
    UNIQUE (kind, key)
) STRICT;

CREATE UNIQUE INDEX record_own_row ON record (kind, own_row) WHERE own_row IS NOT NULL;

-- Names that a record had before it was amended.
CREATE TABLE former_key (
    kind   TEXT    NOT NULL,
    key    TEXT    NOT NULL,
    record INTEGER NOT NULL REFERENCES record (id),
    entry  INTEGER NOT NULL REFERENCES entry (seq),
    PRIMARY KEY (kind, key, entry)
) STRICT, WITHOUT ROWID;

CREATE TABLE charter (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    ledger_id TEXT NOT NULL,
    licence   TEXT NOT NULL,
    licensee  TEXT NOT NULL,
    site      TEXT NOT NULL,
    unit      TEXT NOT NULL,  -- of a bare dose, and of tables
    zone      TEXT NOT NULL,  -- IANA time zone of the ledger's days
    first_rso TEXT NOT NULL,
    clock     TEXT NOT NULL   -- system, or scripted for a demonstration
) STRICT;

CREATE TABLE scheme (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    record   INTEGER NOT NULL REFERENCES record (id),
    name     TEXT NOT NULL,
    in_force TEXT NOT NULL,   -- first day
    text     TEXT NOT NULL    -- TOML
) STRICT;

CREATE TABLE job (
    entry        INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by     INTEGER REFERENCES entry (seq),
    record       INTEGER NOT NULL REFERENCES record (id),
    id           TEXT NOT NULL,
    place        TEXT NOT NULL,
    jurisdiction TEXT NOT NULL,
    setting      TEXT NOT NULL,  -- temporary job site, or fixed installation
    zone         TEXT NOT NULL,
    first_day    TEXT,
    last_day     TEXT,
    client       TEXT  -- for whom the work is done
) STRICT;

CREATE TABLE worker (
    entry          INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by       INTEGER REFERENCES entry (seq),
    record         INTEGER NOT NULL REFERENCES record (id),
    id             TEXT NOT NULL,
    name           TEXT NOT NULL,
    role           TEXT NOT NULL,  -- on the first monitored day
    category       TEXT NOT NULL,
    birth_date     TEXT,
    monitored_from TEXT NOT NULL
) STRICT;

CREATE TABLE worker_role (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    worker   INTEGER NOT NULL REFERENCES record (id),
    from_day TEXT NOT NULL,
    role     TEXT NOT NULL
) STRICT;

CREATE TABLE monitoring (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    worker   INTEGER NOT NULL REFERENCES record (id),
    on_day   TEXT NOT NULL,
    change   TEXT NOT NULL CHECK (change IN ('starts', 'ends'))
) STRICT;

-- That something private of a person is on file; what it is stands in the table `private`.
CREATE TABLE private_record (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    record    INTEGER NOT NULL REFERENCES record (id),
    worker    INTEGER NOT NULL REFERENCES record (id),
    reference TEXT NOT NULL,                               -- of its content in `private`
    erased    INTEGER NOT NULL CHECK (erased IN (0, 1))    -- 1: with this entry
) STRICT;

-- Declarations of an older form, chained. Newer ones stand in `private`.
CREATE TABLE pregnancy (
    entry         INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by      INTEGER REFERENCES entry (seq),
    record        INTEGER NOT NULL REFERENCES record (id),
    worker        INTEGER NOT NULL REFERENCES record (id),
    notice_on     TEXT NOT NULL,  -- day of the written notice
    conception_on TEXT            -- estimated
) STRICT;

CREATE TABLE pregnancy_end (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    pregnancy INTEGER NOT NULL REFERENCES record (id),
    on_day    TEXT NOT NULL,
    how       TEXT NOT NULL
) STRICT;

CREATE TABLE prior_dose (
    entry         INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by      INTEGER REFERENCES entry (seq),
    worker        INTEGER NOT NULL REFERENCES record (id),
    first_day     TEXT NOT NULL,
    last_day      TEXT NOT NULL,
    employer      TEXT NOT NULL,
    deep_nsv      INTEGER,  -- nanosievert; 1 mrem = 10 000 nSv
    lens_nsv      INTEGER,
    shallow_nsv   INTEGER,
    extremity_nsv INTEGER,
    basis         TEXT NOT NULL
) STRICT;

CREATE TABLE missing_quarter (
    entry             INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by          INTEGER REFERENCES entry (seq),
    worker            INTEGER NOT NULL REFERENCES record (id),
    year              INTEGER NOT NULL,
    quarter           INTEGER NOT NULL,
    exposure_possible INTEGER NOT NULL CHECK (exposure_possible IN (0, 1))
) STRICT;

-- Requests to other employers for the record of a dose.
CREATE TABLE dose_request (
    entry       INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by    INTEGER REFERENCES entry (seq),
    worker      INTEGER NOT NULL REFERENCES record (id),
    employer    TEXT NOT NULL,
    on_day      TEXT NOT NULL,
    first_day   TEXT NOT NULL, -- of the period that was asked for
    last_day    TEXT NOT NULL,
    answered_on TEXT,          -- where the answer was no dose; a dose is a prior dose
    answer      TEXT
) STRICT;

-- Authorizations of levels that need one.
CREATE TABLE dose_authorization (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    worker    INTEGER NOT NULL REFERENCES record (id),
    level     TEXT NOT NULL,  -- its key in the scheme
    first_day TEXT NOT NULL,
    last_day  TEXT NOT NULL,
    basis     TEXT NOT NULL
) STRICT;

CREATE TABLE instrument (
    entry        INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by     INTEGER REFERENCES entry (seq),
    record       INTEGER NOT NULL REFERENCES record (id),
    id           TEXT NOT NULL,
    sort         TEXT NOT NULL,
    maker        TEXT,
    model        TEXT,
    serial       TEXT NOT NULL,
    face         TEXT,   -- unit that a dosimeter shows
    range        TEXT,   -- highest reading that a dosimeter can show
    scale        TEXT,   -- of a survey meter
    alarm_preset TEXT,   -- of a ratemeter
    in_service   TEXT
) STRICT;

-- Full-scale values of a survey meter.
CREATE TABLE instrument_scale (
    entry      INTEGER NOT NULL REFERENCES instrument (entry),
    ordinal    INTEGER NOT NULL,
    ended_by   INTEGER REFERENCES entry (seq),
    full_scale TEXT NOT NULL,
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

-- Calibrations and response checks.
CREATE TABLE instrument_check (
    entry       INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by    INTEGER REFERENCES entry (seq),
    instrument  INTEGER NOT NULL REFERENCES record (id),
    on_day      TEXT NOT NULL,
    sort        TEXT NOT NULL,
    result      TEXT NOT NULL CHECK (result IN ('pass', 'fail')),
    done_by     TEXT NOT NULL,
    certificate TEXT
) STRICT;

-- Points of a calibration or response check, as written.
CREATE TABLE check_point (
    entry      INTEGER NOT NULL REFERENCES instrument_check (entry),
    ordinal    INTEGER NOT NULL,
    ended_by   INTEGER REFERENCES entry (seq),
    as_left    INTEGER NOT NULL CHECK (as_left IN (0, 1)),
    scale      TEXT,
    true_value TEXT NOT NULL,  -- of a ratemeter the rate at which it sounded
    reads      TEXT,
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

-- Work on an instrument; after servicing it needs a calibration.
CREATE TABLE servicing (
    entry      INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by   INTEGER REFERENCES entry (seq),
    instrument INTEGER NOT NULL REFERENCES record (id),
    on_day     TEXT NOT NULL,
    sort       TEXT NOT NULL,
    what       TEXT NOT NULL,
    done_by    TEXT NOT NULL
) STRICT;

CREATE TABLE equipment (
    entry       INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by    INTEGER REFERENCES entry (seq),
    record      INTEGER NOT NULL REFERENCES record (id),
    id          TEXT NOT NULL,
    sort        TEXT NOT NULL,
    maker       TEXT,
    model       TEXT,
    serial      TEXT NOT NULL,
    nuclide     TEXT,
    activity_bq INTEGER,  -- becquerel on the reference date; 1 Ci = 37 000 000 000 Bq
    activity_on TEXT,
    in_service  TEXT,
    uranium_tube INTEGER CHECK (uranium_tube IN (0, 1)),  -- a shield to be tested for wear-through
    received_on    TEXT,
    received_from  TEXT,
    received_by    TEXT,
    shipping_paper TEXT,  -- number and date
    uranium_mass   TEXT   -- as on the label, with its unit
) STRICT;

-- Out of service, and back.
CREATE TABLE withdrawal (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    item     INTEGER NOT NULL REFERENCES record (id),
    on_day   TEXT NOT NULL,
    why      TEXT NOT NULL,
    done_by  TEXT NOT NULL,
    transferred_to TEXT,  -- where it left for good
    shipping_paper TEXT,  -- number and date
    licence_verified TEXT -- how and when, before a transfer
) STRICT;

CREATE TABLE service_return (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    item     INTEGER NOT NULL REFERENCES record (id),
    on_day   TEXT NOT NULL,
    done     TEXT NOT NULL,
    done_by  TEXT NOT NULL
) STRICT;

-- Wipe tests for removable activity.
CREATE TABLE leak_test (
    entry        INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by     INTEGER REFERENCES entry (seq),
    item         INTEGER NOT NULL REFERENCES record (id),
    part         TEXT NOT NULL,
    on_day       TEXT NOT NULL,
    removable_bq INTEGER NOT NULL,
    below        INTEGER NOT NULL CHECK (below IN (0, 1)),  -- 1: less than that
    done_by      TEXT NOT NULL,
    certificate  TEXT
) STRICT;

-- Physical inventories, and what was seen at each.
CREATE TABLE inventory (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    on_day   TEXT NOT NULL,
    done_by  TEXT NOT NULL,
    note     TEXT,
    location TEXT
) STRICT;

CREATE TABLE inventory_item (
    entry    INTEGER NOT NULL REFERENCES inventory (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    item     INTEGER NOT NULL REFERENCES record (id),
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

-- Which source a device holds from a day on.
CREATE TABLE loading (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    device   INTEGER NOT NULL REFERENCES record (id),
    source   INTEGER NOT NULL REFERENCES record (id),
    on_day   TEXT NOT NULL,
    done_by  TEXT NOT NULL
) STRICT;

-- Dated checks of sources and reports about them.
CREATE TABLE source_check (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    sort      TEXT NOT NULL,
    on_day    TEXT NOT NULL,
    arrived   TEXT,  -- HH:MM, of a receipt
    done_at   TEXT,  -- HH:MM
    done_by   TEXT NOT NULL,
    reference TEXT,
    place     TEXT   -- of `stored`
) STRICT;

CREATE TABLE source_check_item (
    entry    INTEGER NOT NULL REFERENCES source_check (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    source   INTEGER NOT NULL REFERENCES record (id),
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

-- Checklists in force, from a day on.
CREATE TABLE checklist (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    record   INTEGER NOT NULL REFERENCES record (id),
    name     TEXT NOT NULL,
    in_force TEXT NOT NULL,   -- first day
    text     TEXT NOT NULL    -- TOML
) STRICT;

-- Parts as fitted; the next of the same component ends the one before.
CREATE TABLE fitted_part (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    record    INTEGER NOT NULL REFERENCES record (id),
    equipment INTEGER NOT NULL REFERENCES record (id),
    component TEXT NOT NULL,
    fitted_on TEXT NOT NULL,
    done_by   TEXT NOT NULL,
    serial    TEXT,
    lot       TEXT,
    line      TEXT,             -- the checklist's item that the figures of the part are for
    nominal   TEXT,             -- as written, with its unit
    limit_at  TEXT              -- as written, with its unit
) STRICT;

-- One pass over a checklist on one piece, and what was found at each item.
CREATE TABLE inspection (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    record   INTEGER NOT NULL REFERENCES record (id),
    item     INTEGER NOT NULL REFERENCES record (id),
    list     INTEGER NOT NULL REFERENCES record (id),  -- the checklist in force that day
    occasion TEXT NOT NULL,                            -- daily, quarterly, ...
    on_day   TEXT NOT NULL,
    at       TEXT,                                     -- HH:MM
    worker   INTEGER REFERENCES record (id),           -- who looked
    looked   TEXT,                                     -- the name as written, where unknown
    counter  INTEGER,                                  -- of the device's own cycle counter
    note     TEXT
) STRICT;

CREATE INDEX inspection_of_item ON inspection (item, on_day);

CREATE TABLE inspection_line (
    entry    INTEGER NOT NULL REFERENCES inspection (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    line     TEXT NOT NULL,   -- the item's key in the checklist
    result   TEXT NOT NULL,
    value    TEXT,            -- as written, with its unit
    note     TEXT,
    action   TEXT,
    other    INTEGER REFERENCES record (id),  -- the other piece of a mating check
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;
CREATE INDEX inspection_line_other ON inspection_line (other) WHERE other IS NOT NULL;

-- What was done at the start of a shift, recorded when it was done.
CREATE TABLE shift_start (
    entry         INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by      INTEGER REFERENCES entry (seq),
    record        INTEGER NOT NULL REFERENCES record (id),
    reference     TEXT,           -- the office's number of the sheet that follows
    day           TEXT NOT NULL,  -- on which the shift began
    shift         TEXT NOT NULL,
    begins        TEXT,
    job           INTEGER REFERENCES record (id),
    work          TEXT NOT NULL,
    device        INTEGER REFERENCES record (id),
    source        INTEGER REFERENCES record (id),
    control_unit  INTEGER REFERENCES record (id),
    meter         INTEGER REFERENCES record (id),
    meter_checked INTEGER CHECK (meter_checked IN (0, 1)), -- with a check source or otherwise
    note          TEXT
) STRICT;
CREATE INDEX shift_start_day ON shift_start (day);

CREATE TABLE shift_start_guide_tube (
    entry    INTEGER NOT NULL REFERENCES shift_start (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    tube     INTEGER REFERENCES record (id),
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

CREATE TABLE start_crew (
    entry        INTEGER NOT NULL REFERENCES shift_start (entry),
    person       INTEGER NOT NULL,
    ended_by     INTEGER REFERENCES entry (seq),
    worker       INTEGER REFERENCES record (id),
    role         TEXT NOT NULL,
    ratemeter    INTEGER REFERENCES record (id),
    alarm_tested INTEGER CHECK (alarm_tested IN (0, 1)),
    badge_worn   INTEGER CHECK (badge_worn IN (0, 1)), -- put on
    badge        TEXT,
    PRIMARY KEY (entry, person)
) STRICT, WITHOUT ROWID;

CREATE TABLE start_reading (
    entry       INTEGER NOT NULL,
    person      INTEGER NOT NULL,
    ordinal     INTEGER NOT NULL,
    ended_by    INTEGER REFERENCES entry (seq),
    dosimeter   INTEGER REFERENCES record (id),
    unit        TEXT,
    start_count INTEGER,  -- as in `reading`
    recharged   INTEGER CHECK (recharged IN (0, 1)),
    PRIMARY KEY (entry, person, ordinal),
    FOREIGN KEY (entry, person) REFERENCES start_crew (entry, person)
) STRICT, WITHOUT ROWID;

-- What a crew handed in after a shift. Where the sheet names something that
-- the ledger does not know, the column is NULL and `held` has the words.
CREATE TABLE sheet (
    entry            INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by         INTEGER REFERENCES entry (seq),
    record           INTEGER NOT NULL REFERENCES record (id),
    reference        TEXT,
    day              TEXT NOT NULL,  -- on which the shift began
    shift            TEXT NOT NULL,
    begins           TEXT,
    ends             TEXT,
    crosses_midnight INTEGER NOT NULL CHECK (crosses_midnight IN (0, 1)),
    job              INTEGER REFERENCES record (id),
    work             TEXT NOT NULL,
    device           INTEGER REFERENCES record (id),
    source           INTEGER REFERENCES record (id),
    control_unit     INTEGER REFERENCES record (id),
    meter            INTEGER REFERENCES record (id),
    exposures        INTEGER,
    source_out_s     INTEGER,        -- seconds
    boundary         TEXT,           -- highest rate at the boundary
    storage_survey   TEXT,           -- rate before storage
    device_out       TEXT,
    device_back      TEXT,
    attested_by      INTEGER REFERENCES record (id),
    paper_date       TEXT,           -- where it was copied from paper
    paper_signer     TEXT,
    note             TEXT,
    first_exposure   TEXT,           -- HH:MM
    shift_start      INTEGER REFERENCES record (id), -- where the start is on record
    site             TEXT,           -- where it is not the job's place
    meter_checked    INTEGER CHECK (meter_checked IN (0, 1)), -- before use
    meter_late       INTEGER CHECK (meter_late IN (0, 1)),    -- recorded at the end
    storage_meter    INTEGER REFERENCES record (id), -- of the survey, where it is another
    storage_distance TEXT,           -- of the survey
    locked           INTEGER CHECK (locked IN (0, 1)),        -- the device, when it was back
    signed_by        INTEGER REFERENCES record (id)  -- the radiographer
) STRICT;
CREATE INDEX sheet_day ON sheet (day);
-- How often one piece was used is asked of one piece, and must not read all sheets.
CREATE INDEX sheet_device ON sheet (device, day) WHERE device IS NOT NULL;
CREATE INDEX sheet_source ON sheet (source, day) WHERE source IS NOT NULL;
CREATE INDEX sheet_control_unit ON sheet (control_unit, day) WHERE control_unit IS NOT NULL;

CREATE TABLE sheet_guide_tube (
    entry    INTEGER NOT NULL REFERENCES sheet (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    tube     INTEGER REFERENCES record (id),
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;
CREATE INDEX sheet_guide_tube_tube ON sheet_guide_tube (tube) WHERE tube IS NOT NULL;

-- The people of a sheet.
CREATE TABLE crew (
    entry        INTEGER NOT NULL REFERENCES sheet (entry),
    person       INTEGER NOT NULL,  -- 1, 2, 3 in the order of the sheet
    ended_by     INTEGER REFERENCES entry (seq),
    worker       INTEGER REFERENCES record (id),
    day          TEXT NOT NULL,     -- the sheet's
    role         TEXT NOT NULL,     -- as acted on this shift
    ratemeter    INTEGER REFERENCES record (id),
    alarm_tested INTEGER CHECK (alarm_tested IN (0, 1)),
    badge_worn   INTEGER CHECK (badge_worn IN (0, 1)),
    badge        TEXT,              -- the number on it, where the sheet names it
    PRIMARY KEY (entry, person)
) STRICT, WITHOUT ROWID;
CREATE INDEX crew_worker ON crew (worker, day);

-- What of a start was recorded at the end of the shift and not when it was done.
CREATE TABLE crew_late (
    entry    INTEGER NOT NULL,
    person   INTEGER NOT NULL,
    part     TEXT NOT NULL,     -- badge, recharge, reading or alarm
    ended_by INTEGER REFERENCES entry (seq),
    PRIMARY KEY (entry, person, part),
    FOREIGN KEY (entry, person) REFERENCES crew (entry, person)
) STRICT, WITHOUT ROWID;

-- What each direct-reading dosimeter showed. The counts are in nanosievert
-- where the face shows dose, and in 0.1 microroentgen where it shows exposure:
-- both are 1/10 000 of the milli-unit, so that 1 mR counts as 1 mrem (a
-- convention of record, not an identity) without a conversion.
CREATE TABLE reading (
    entry       INTEGER NOT NULL,
    person      INTEGER NOT NULL,
    ordinal     INTEGER NOT NULL,
    ended_by    INTEGER REFERENCES entry (seq),
    dosimeter   INTEGER REFERENCES record (id),
    day         TEXT    NOT NULL,  -- the sheet's
    part        INTEGER NOT NULL,  -- 1, 2 ... when set back to zero in between
    unit        TEXT,              -- as written
    start_count INTEGER,
    end_count   INTEGER,
    off_scale   INTEGER NOT NULL CHECK (off_scale IN (0, 1)), -- as written, or above its range
    recharged   INTEGER CHECK (recharged IN (0, 1)), -- at the start of the shift
    PRIMARY KEY (entry, person, ordinal),
    FOREIGN KEY (entry, person) REFERENCES crew (entry, person)
) STRICT, WITHOUT ROWID;
CREATE INDEX reading_dosimeter ON reading (dosimeter, day);

-- What was possible but doubtful when a sheet, a badge or a result was written.
CREATE TABLE held (
    entry    INTEGER NOT NULL REFERENCES entry (seq),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    sort     TEXT NOT NULL,
    about    TEXT NOT NULL,
    person   INTEGER,
    part     INTEGER,
    reading  INTEGER, -- of the person's, from 1; NULL: every reading of the part
    other    INTEGER REFERENCES record (id), -- what it contradicts
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

-- Which heading of a processor's report holds which of our columns.
CREATE TABLE mapping (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    record   INTEGER NOT NULL REFERENCES record (id),
    name     TEXT NOT NULL
) STRICT;

CREATE TABLE mapping_column (
    entry    INTEGER NOT NULL REFERENCES mapping (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    name     TEXT NOT NULL,  -- ours
    heading  TEXT NOT NULL,  -- the report's
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

-- What was decided about a held item.
CREATE TABLE ruling (
    entry       INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by    INTEGER REFERENCES entry (seq),
    held_record INTEGER NOT NULL REFERENCES record (id), -- the sheet, badge or result
    held_entry  INTEGER NOT NULL REFERENCES entry (seq),
    held_item   INTEGER NOT NULL,
    outcome     TEXT NOT NULL CHECK (outcome IN ('counts', 'does not count')),
    why         TEXT NOT NULL
) STRICT;

-- Answers to findings.
CREATE TABLE decision (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    finding  TEXT NOT NULL,
    answer   TEXT NOT NULL
) STRICT;

-- Processed dosimeters, each for a wear period.
CREATE TABLE badge (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    record    INTEGER NOT NULL REFERENCES record (id),
    badge     TEXT NOT NULL,                      -- the number on it
    sort      TEXT NOT NULL,                      -- whole body, extremity, control
    worker    INTEGER REFERENCES record (id),     -- NULL for a control badge
    employer  TEXT,                               -- another employer's badge
    first_day TEXT NOT NULL,
    last_day  TEXT NOT NULL,                      -- as planned when it was issued
    last_read TEXT,                               -- on demand: its read before the first day
    on_demand INTEGER CHECK (on_demand IN (0, 1)), -- 1: read on demand, never processed
    same_dose INTEGER CHECK (same_dose IN (0, 1)) -- as ours; NULL: nobody said
) STRICT;
CREATE INDEX badge_worker ON badge (worker, first_day);
CREATE INDEX badge_number ON badge (badge COLLATE NOCASE);

CREATE TABLE badge_event (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    badge    INTEGER NOT NULL REFERENCES record (id),
    change   TEXT NOT NULL CHECK (change IN ('returned', 'sent', 'lost', 'damaged')),
    on_day   TEXT NOT NULL,
    note     TEXT
) STRICT;
CREATE INDEX badge_event_badge ON badge_event (badge);

CREATE TABLE badge_result (
    entry            INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by         INTEGER REFERENCES entry (seq),
    record           INTEGER NOT NULL REFERENCES record (id),
    badge            INTEGER REFERENCES record (id), -- NULL: never issued; `held` has its number
    report           TEXT NOT NULL,  -- the processor's number
    reported_on      TEXT NOT NULL,
    gross_nsv        INTEGER,        -- of a control badge
    total_nsv        INTEGER,        -- running total that a badge read on demand showed
    year_to_date_nsv INTEGER         -- the processor's own deep dose of the year
) STRICT;
CREATE INDEX badge_result_badge ON badge_result (badge);
CREATE INDEX badge_result_report ON badge_result (report);

-- What a result says, a quantity.
CREATE TABLE badge_value (
    entry       INTEGER NOT NULL REFERENCES badge_result (entry),
    quantity    TEXT NOT NULL,       -- deep, lens, shallow, extremity
    ended_by    INTEGER REFERENCES entry (seq),
    written     TEXT NOT NULL,       -- as the report has it
    below       INTEGER NOT NULL CHECK (below IN (0, 1)), -- 1: less than can be measured
    nsv         INTEGER NOT NULL,    -- zero where below
    minimum_nsv INTEGER,             -- the least that the processor reports
    PRIMARY KEY (entry, quantity)
) STRICT, WITHOUT ROWID;

CREATE TABLE acceptance (
    entry        INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by     INTEGER REFERENCES entry (seq),
    result       INTEGER NOT NULL REFERENCES record (id),
    result_entry INTEGER NOT NULL REFERENCES entry (seq), -- the version that is accepted
    on_day       TEXT NOT NULL,
    accepted_by  INTEGER NOT NULL REFERENCES record (id),
    second_by    INTEGER REFERENCES record (id) -- where the dose is the accepter's own
) STRICT;
CREATE INDEX acceptance_of ON acceptance (result_entry);

CREATE TABLE settlement (
    entry      INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by   INTEGER REFERENCES entry (seq),
    badge      INTEGER NOT NULL REFERENCES record (id),
    of_record  TEXT NOT NULL CHECK (of_record IN ('result', 'determination')),
    on_day     TEXT NOT NULL,
    settled_by INTEGER NOT NULL REFERENCES record (id),
    second_by  INTEGER REFERENCES record (id), -- where the dose is the settler's own
    why        TEXT NOT NULL
) STRICT;
CREATE INDEX settlement_badge ON settlement (badge);

-- What the RSO decided between results and determinations that contradict each
-- other, by the versions that were known then. It ends when one that stands by
-- it is replaced.
CREATE TABLE resolution (
    entry      INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by   INTEGER REFERENCES entry (seq),
    worker     INTEGER NOT NULL REFERENCES record (id),
    on_day     TEXT NOT NULL,
    decided_by INTEGER NOT NULL REFERENCES record (id),
    second_by  INTEGER REFERENCES record (id), -- where the dose is the decider's own
    why        TEXT NOT NULL
) STRICT;
CREATE INDEX resolution_worker ON resolution (worker);

CREATE TABLE resolution_claim (
    entry    INTEGER NOT NULL REFERENCES resolution (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    place    TEXT NOT NULL CHECK (place IN ('stands', 'rest', 'set aside')),
    claim    INTEGER NOT NULL REFERENCES record (id), -- a result or a determination
    version  INTEGER NOT NULL REFERENCES entry (seq), -- of it, that was known
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

-- Doses that no dosimeter gives. It is about readings of a dosimeter on a
-- sheet, or a badge, or a span of days.
CREATE TABLE determination (
    entry         INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by      INTEGER REFERENCES entry (seq),
    record        INTEGER NOT NULL REFERENCES record (id),
    worker        INTEGER NOT NULL REFERENCES record (id),
    sheet         INTEGER REFERENCES record (id),
    dosimeter     INTEGER REFERENCES record (id),
    part          INTEGER, -- of a dosimeter that was set back to zero; none: the first
    badge         INTEGER REFERENCES record (id),
    first_day     TEXT,
    last_day      TEXT,
    quantity      TEXT NOT NULL,
    relation      TEXT NOT NULL,
    dose_nsv      INTEGER NOT NULL,
    method        TEXT NOT NULL,
    on_day        TEXT NOT NULL,
    determined_by INTEGER NOT NULL REFERENCES record (id),
    second_by     INTEGER REFERENCES record (id),
    basis         TEXT NOT NULL
) STRICT;
CREATE INDEX determination_badge ON determination (badge);
CREATE INDEX determination_worker ON determination (worker);

-- Results and determinations that a determination names as superseded.
CREATE TABLE superseded (
    entry    INTEGER NOT NULL REFERENCES determination (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    claim    INTEGER NOT NULL REFERENCES record (id),
    version  INTEGER NOT NULL REFERENCES entry (seq),
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

CREATE TABLE planned_exposure (
    entry         INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by      INTEGER REFERENCES entry (seq),
    worker        INTEGER NOT NULL REFERENCES record (id),
    first_day     TEXT NOT NULL,
    last_day      TEXT NOT NULL,
    authorized_on TEXT NOT NULL,
    basis         TEXT NOT NULL
) STRICT;

CREATE TABLE qualification (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    worker   INTEGER NOT NULL REFERENCES record (id),
    sort     TEXT NOT NULL,
    on_day   TEXT NOT NULL,
    until    TEXT,
    done_by  TEXT NOT NULL,
    note     TEXT
) STRICT;

-- What went wrong. Moments are local time with its offset.
CREATE TABLE event (
    entry      INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by   INTEGER REFERENCES entry (seq),
    record     INTEGER NOT NULL REFERENCES record (id),
    name       TEXT NOT NULL,
    kind       TEXT NOT NULL, -- a key of the scheme
    occurred   TEXT NOT NULL,
    discovered TEXT NOT NULL,
    job        INTEGER REFERENCES record (id),
    place      TEXT,
    words      TEXT NOT NULL
) STRICT;
CREATE INDEX event_name ON event (name COLLATE NOCASE);

CREATE TABLE event_item (
    entry    INTEGER NOT NULL REFERENCES event (entry),
    ordinal  INTEGER NOT NULL,
    ended_by INTEGER REFERENCES entry (seq),
    item     INTEGER NOT NULL REFERENCES record (id),
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

CREATE TABLE event_person (
    entry     INTEGER NOT NULL REFERENCES event (entry),
    ordinal   INTEGER NOT NULL,
    ended_by  INTEGER REFERENCES entry (seq),
    worker    INTEGER REFERENCES record (id), -- NULL: a name that the ledger does not know
    name      TEXT,
    role      TEXT NOT NULL,
    monitored INTEGER CHECK (monitored IN (0, 1)), -- NULL: not said
    PRIMARY KEY (entry, ordinal)
) STRICT, WITHOUT ROWID;

-- What happened besides what the event was opened with.
CREATE TABLE event_happening (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    event     INTEGER NOT NULL REFERENCES record (id),
    happening TEXT NOT NULL, -- a kind of the scheme
    at        TEXT NOT NULL, -- a moment, or what is known of it
    words     TEXT
) STRICT;
CREATE INDEX event_happening_event ON event_happening (event);

CREATE TABLE event_note (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    event    INTEGER NOT NULL REFERENCES record (id),
    at       TEXT NOT NULL,
    worker   INTEGER REFERENCES record (id),
    name     TEXT,    -- of somebody whom the ledger does not know
    barrier  TEXT,
    state    TEXT,    -- present, absent, off, unheeded
    disputes INTEGER REFERENCES record (id), -- an inspection
    item     TEXT,    -- of the checklist
    words    TEXT NOT NULL
) STRICT;
CREATE INDEX event_note_event ON event_note (event);

-- Causes as they were believed; the newest holds.
CREATE TABLE event_cause (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    event     INTEGER NOT NULL REFERENCES record (id),
    known_at  TEXT NOT NULL,
    equipment INTEGER REFERENCES record (id), -- NULL, as the next two: human, or not found
    component TEXT,
    failure   TEXT,
    human     TEXT,
    sort      TEXT, -- NULL: it stands alone, in the place of all before it
    leads_to  INTEGER REFERENCES record (id),
    because   TEXT NOT NULL
) STRICT;
CREATE INDEX event_cause_event ON event_cause (event);

CREATE TABLE event_action (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    record   INTEGER NOT NULL REFERENCES record (id),
    event    INTEGER NOT NULL REFERENCES record (id),
    plan     INTEGER REFERENCES record (id), -- the planned action that it carries out
    due_on   TEXT,
    done_on  TEXT,
    done_by  TEXT NOT NULL,
    words    TEXT NOT NULL
) STRICT;
CREATE INDEX event_action_event ON event_action (event);

CREATE TABLE event_link (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    event     INTEGER NOT NULL REFERENCES record (id),
    linked    INTEGER NOT NULL REFERENCES record (id),
    worker    INTEGER REFERENCES record (id),
    dosimeter INTEGER REFERENCES record (id)
) STRICT;
CREATE INDEX event_link_event ON event_link (event);

-- Answers to the questions of a rule.
CREATE TABLE duty_answer (
    entry    INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by INTEGER REFERENCES entry (seq),
    event    INTEGER NOT NULL REFERENCES record (id),
    question TEXT NOT NULL,
    at       TEXT NOT NULL,
    answer   INTEGER NOT NULL CHECK (answer IN (0, 1)),
    reason   TEXT NOT NULL
) STRICT;
CREATE INDEX duty_answer_event ON duty_answer (event);

-- Notices that were given.
CREATE TABLE duty_done (
    entry      INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by   INTEGER REFERENCES entry (seq),
    event      INTEGER NOT NULL REFERENCES record (id),
    duty       TEXT NOT NULL,
    from_start TEXT NOT NULL, -- of the clock that it answers
    at         TEXT NOT NULL,
    done_by    TEXT NOT NULL,
    told       TEXT NOT NULL,
    reference  TEXT
) STRICT;
CREATE INDEX duty_done_event ON duty_done (event);

-- Whether an item of the checklist could have shown what failed.
CREATE TABLE conclusion (
    entry        INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by     INTEGER REFERENCES entry (seq),
    event        INTEGER NOT NULL REFERENCES record (id),
    equipment    INTEGER REFERENCES record (id), -- NULL: on a barrier
    item         TEXT NOT NULL, -- its key, or the barrier
    coverage     TEXT NOT NULL,
    on_day       TEXT NOT NULL,
    concluded_by INTEGER NOT NULL REFERENCES record (id),
    because      TEXT NOT NULL
) STRICT;
CREATE INDEX conclusion_event ON conclusion (event);

CREATE TABLE event_end (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    event     INTEGER NOT NULL REFERENCES record (id),
    on_day    TEXT NOT NULL,
    closed_by INTEGER NOT NULL REFERENCES record (id),
    words     TEXT NOT NULL
) STRICT;
CREATE INDEX event_end_event ON event_end (event);

-- The RSO's signature under a month, with what it showed.
CREATE TABLE review (
    entry      INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by   INTEGER REFERENCES entry (seq),
    month      TEXT NOT NULL,
    on_day     TEXT NOT NULL,
    signed_by  INTEGER NOT NULL REFERENCES record (id),
    entries    INTEGER NOT NULL, -- how many it covers
    head       TEXT NOT NULL,    -- the hash of the last of them
    open_stops INTEGER NOT NULL,
    program    TEXT NOT NULL,
    reason     TEXT
) STRICT;

-- Annual reports that were sent to the authority.
CREATE TABLE annual_report (
    entry     INTEGER PRIMARY KEY REFERENCES entry (seq),
    ended_by  INTEGER REFERENCES entry (seq),
    year      INTEGER NOT NULL, -- the licensee's, named after the calendar year in which it begins
    told      TEXT NOT NULL,
    on_day    TEXT NOT NULL,
    sent_by   TEXT NOT NULL,
    reference TEXT,             -- the receipt, or the number of the parcel
    worker    INTEGER REFERENCES record (id) -- whose own report it is; none: to the authority
) STRICT;

-- An entry at whose writing the clock stood before where it had stood at the entry before: what of
-- the moments of writing can be trusted is to be judged. Of headers, not of bodies.
CREATE TABLE clock_step (
    entry       INTEGER PRIMARY KEY REFERENCES entry (seq),
    written_at  TEXT NOT NULL,
    said_before TEXT NOT NULL
) STRICT;

CREATE TABLE review_figure (
    entry         INTEGER NOT NULL REFERENCES review (entry),
    worker        INTEGER NOT NULL REFERENCES record (id),
    ended_by      INTEGER REFERENCES entry (seq),
    month_nsv     INTEGER NOT NULL,
    at_least      INTEGER NOT NULL CHECK (at_least IN (0, 1)),
    year_nsv      INTEGER NOT NULL,
    of_record_nsv INTEGER NOT NULL,
    PRIMARY KEY (entry, worker)
) STRICT, WITHOUT ROWID;
