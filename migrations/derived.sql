-- What the entries say, as tables and views. Nothing here is a source: `ledger
-- rebuild` drops all of it and makes it again from `entry`. A table is what the
-- program itself asks in SQL; everything else is a view over the bodies.
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

-- Which records an entry points to, but for a sheet's, whose rows have columns
-- of their own for it.
CREATE TABLE reference (
    entry  INTEGER NOT NULL REFERENCES entry (seq),
    target INTEGER NOT NULL REFERENCES record (id),
    PRIMARY KEY (target, entry)
) STRICT, WITHOUT ROWID;

-- Every entry with a body, but for the sheets: what the views read.
CREATE VIEW said AS SELECT
    seq AS entry,
    (SELECT later.seq FROM entry AS later WHERE later.ends = entry.seq) AS ended_by,
    record,
    kind,
    version,
    body
FROM entry WHERE kind <> 'sheet' AND body IS NOT NULL;

-- An entry at whose writing the clock stood before where it had stood at the entry before: what of
-- the moments of writing can be trusted is to be judged. Of headers, not of bodies.
CREATE TABLE clock_step (
    entry       INTEGER PRIMARY KEY REFERENCES entry (seq),
    written_at  TEXT NOT NULL,
    said_before TEXT NOT NULL
) STRICT;

CREATE VIEW charter AS SELECT
    entry,
    ended_by,
    body ->> 'ledger_id' AS ledger_id,
    body ->> 'licence' AS licence,
    body ->> 'licensee' AS licensee,
    body ->> 'site' AS site,
    body ->> 'unit' AS unit,  -- of a bare dose, and of tables
    body ->> 'zone' AS zone,  -- IANA time zone of the ledger's days
    body ->> 'first_rso' AS first_rso,
    body ->> 'clock' AS clock  -- system, or scripted for a demonstration
FROM said WHERE kind = 'charter';

CREATE VIEW scheme AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'name' AS name,
    body ->> 'from' AS in_force,  -- first day
    body ->> 'text' AS text  -- TOML
FROM said WHERE kind = 'scheme';

CREATE VIEW job AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'id' AS id,
    body ->> 'place' AS place,
    body ->> 'jurisdiction' AS jurisdiction,
    body ->> 'setting' AS setting,  -- temporary job site, or fixed installation
    body ->> 'zone' AS zone,
    body ->> 'first_day' AS first_day,
    body ->> 'last_day' AS last_day,
    body ->> 'client' AS client  -- for whom the work is done
FROM said WHERE kind = 'job';

CREATE VIEW worker AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'id' AS id,
    body ->> 'name' AS name,
    body ->> 'role' AS role,  -- on the first monitored day
    body ->> 'category' AS category,
    body ->> 'birth_date' AS birth_date,
    body ->> 'monitored_from' AS monitored_from,
    body ->> 'language' AS language  -- en or es; NULL: English
FROM said WHERE kind = 'worker';

CREATE VIEW worker_role AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'from' AS from_day,
    body ->> 'role' AS role
FROM said WHERE kind = 'role';

CREATE VIEW alert_reader AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'of' AS of_what,
    body ->> 'from' AS from_day,
    body ->> 'until' AS until_day  -- the last day; none: it stands
FROM said WHERE kind = 'alert reader';

CREATE VIEW monitoring AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'on' AS on_day,
    body ->> 'change' AS change
FROM said WHERE kind = 'monitoring';

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
CREATE VIEW pregnancy AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'worker' AS worker,
    body ->> 'notice_on' AS notice_on,  -- day of the written notice
    body ->> 'conception_on' AS conception_on  -- estimated
FROM said WHERE kind = 'pregnancy';

CREATE VIEW pregnancy_end AS SELECT
    entry,
    ended_by,
    body ->> 'pregnancy' AS pregnancy,
    body ->> 'on' AS on_day,
    body ->> 'how' AS how
FROM said WHERE kind = 'pregnancy end';

CREATE VIEW prior_dose AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'first_day' AS first_day,
    body ->> 'last_day' AS last_day,
    body ->> 'employer' AS employer,
    body ->> 'deep_nsv' AS deep_nsv,  -- nanosievert; 1 mrem = 10 000 nSv
    body ->> 'lens_nsv' AS lens_nsv,
    body ->> 'shallow_nsv' AS shallow_nsv,
    body ->> 'extremity_nsv' AS extremity_nsv,
    body ->> 'basis' AS basis
FROM said WHERE kind = 'prior dose';

CREATE VIEW missing_quarter AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'year' AS year,
    body ->> 'quarter' AS quarter,
    body ->> 'exposure_possible' AS exposure_possible
FROM said WHERE kind = 'missing quarter';

-- Authorizations of levels that need one.
CREATE VIEW dose_authorization AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'level' AS level,  -- its key in the scheme
    body ->> 'first_day' AS first_day,
    body ->> 'last_day' AS last_day,
    body ->> 'basis' AS basis
FROM said WHERE kind = 'authorization';

CREATE VIEW instrument AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'id' AS id,
    body ->> 'sort' AS sort,
    body ->> 'maker' AS maker,
    body ->> 'model' AS model,
    body ->> 'serial' AS serial,
    body ->> 'face' AS face,  -- unit that a dosimeter shows
    body ->> 'range' AS range,  -- highest reading that a dosimeter can show
    body ->> 'scale' AS scale,  -- of a survey meter
    body ->> 'alarm_preset' AS alarm_preset,  -- of a ratemeter
    body ->> 'in_service' AS in_service
FROM said WHERE kind = 'instrument';

-- Full-scale values of a survey meter.
CREATE VIEW instrument_scale AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    one.value AS full_scale
FROM said, json_each(body, '$.scales') AS one WHERE kind = 'instrument';

-- Calibrations and response checks.
CREATE VIEW instrument_check AS SELECT
    entry,
    ended_by,
    body ->> 'instrument' AS instrument,
    body ->> 'on' AS on_day,
    body ->> 'sort' AS sort,
    body ->> 'result' AS result,
    body ->> 'by' AS done_by,
    body ->> 'certificate' AS certificate
FROM said WHERE kind = 'check';

-- Points of a calibration or response check, as written.
CREATE VIEW check_point AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    one.value ->> 'as_left' AS as_left,
    one.value ->> 'scale' AS scale,
    one.value ->> 'true_value' AS true_value,  -- of a ratemeter the rate at which it sounded
    one.value ->> 'reads' AS reads
FROM said, json_each(body, '$.points') AS one WHERE kind = 'check';

CREATE VIEW equipment AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'id' AS id,
    body ->> 'sort' AS sort,
    body ->> 'maker' AS maker,
    body ->> 'model' AS model,
    body ->> 'serial' AS serial,
    body ->> 'nuclide' AS nuclide,
    -- Becquerel on the reference date; 1 Ci = 37 000 000 000 Bq.
    body ->> 'activity_bq' AS activity_bq,
    body ->> 'activity_on' AS activity_on,
    body ->> 'in_service' AS in_service,
    body ->> 'uranium_tube' AS uranium_tube,  -- a shield to be tested for wear-through
    body ->> 'received_on' AS received_on,
    body ->> 'received_from' AS received_from,
    body ->> 'received_by' AS received_by,
    body ->> 'shipping_paper' AS shipping_paper,  -- number and date
    body ->> 'uranium_mass' AS uranium_mass  -- as on the label, with its unit
FROM said WHERE kind = 'equipment';

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

-- Out of service, and back.
CREATE VIEW withdrawal AS SELECT
    entry,
    ended_by,
    body ->> 'item' AS item,
    body ->> 'on' AS on_day,
    body ->> 'reason' AS why,
    body ->> 'by' AS done_by,
    body ->> 'transferred_to' AS transferred_to,  -- where it left for good
    body ->> 'shipping_paper' AS shipping_paper,  -- number and date
    body ->> 'licence_verified' AS licence_verified  -- how and when, before a transfer
FROM said WHERE kind = 'withdrawal';

CREATE VIEW service_return AS SELECT
    entry,
    ended_by,
    body ->> 'item' AS item,
    body ->> 'on' AS on_day,
    body ->> 'done' AS done,
    body ->> 'by' AS done_by
FROM said WHERE kind = 'return';

-- Checklists in force, from a day on.
CREATE VIEW checklist AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'name' AS name,
    body ->> 'from' AS in_force,  -- first day
    body ->> 'text' AS text  -- TOML
FROM said WHERE kind = 'checklist';

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

-- Work on an instrument; after servicing it needs a calibration.
CREATE VIEW servicing AS SELECT
    entry,
    ended_by,
    body ->> 'instrument' AS instrument,
    body ->> 'on' AS on_day,
    body ->> 'sort' AS sort,
    body ->> 'what' AS what,
    body ->> 'by' AS done_by
FROM said WHERE kind = 'servicing';

-- Wipe tests for removable activity.
CREATE VIEW leak_test AS SELECT
    entry,
    ended_by,
    body ->> 'item' AS item,
    body ->> 'part' AS part,
    body ->> 'on' AS on_day,
    body ->> 'removable_bq' AS removable_bq,
    body ->> 'below' AS below,  -- 1: less than that
    body ->> 'by' AS done_by,
    body ->> 'certificate' AS certificate
FROM said WHERE kind = 'leak test';

-- Physical inventories, and what was seen at each.
CREATE VIEW inventory AS SELECT
    entry,
    ended_by,
    body ->> 'on' AS on_day,
    body ->> 'by' AS done_by,
    body ->> 'note' AS note,
    body ->> 'location' AS location
FROM said WHERE kind = 'inventory';

CREATE VIEW inventory_item AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    one.value AS item
FROM said, json_each(body, '$.found') AS one WHERE kind = 'inventory';

-- Which source a device holds from a day on.
CREATE VIEW loading AS SELECT
    entry,
    ended_by,
    body ->> 'device' AS device,
    body ->> 'source' AS source,
    body ->> 'on' AS on_day,
    body ->> 'by' AS done_by
FROM said WHERE kind = 'loading';

-- Dated checks of sources and reports about them.
CREATE VIEW source_check AS SELECT
    entry,
    ended_by,
    body ->> 'sort' AS sort,
    body ->> 'on' AS on_day,
    body ->> 'arrived' AS arrived,  -- HH:MM, of a receipt
    body ->> 'at' AS done_at,  -- HH:MM
    body ->> 'by' AS done_by,
    body ->> 'reference' AS reference,
    body ->> 'place' AS place  -- of `stored`
FROM said WHERE kind = 'source check';

CREATE VIEW source_check_item AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    one.value AS source
FROM said, json_each(body, '$.sources') AS one WHERE kind = 'source check';

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
CREATE VIEW crew_late AS SELECT
    entry,
    one.key + 1 AS person,
    late.value AS part,  -- badge, recharge, reading or alarm
    ended_by
FROM sheet JOIN entry AS its ON its.seq = sheet.entry,
    json_each(its.body, '$.people') AS one, json_each(one.value, '$.late') AS late;

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

CREATE VIEW shift_start_guide_tube AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    iif(one.type = 'integer', one.value, NULL) AS tube
FROM said, json_each(body, '$.guide_tubes') AS one WHERE kind = 'shift start';

CREATE VIEW start_crew AS SELECT
    entry,
    one.key + 1 AS person,
    ended_by,
    iif(typeof(one.value ->> 'worker') = 'integer', one.value ->> 'worker', NULL) AS worker,
    one.value ->> 'role' AS role,
    iif(typeof(one.value ->> 'ratemeter') = 'integer', one.value ->> 'ratemeter', NULL)
        AS ratemeter,
    one.value ->> 'alarm_tested' AS alarm_tested,
    one.value ->> 'badge_worn' AS badge_worn,  -- put on
    one.value ->> 'badge' AS badge
FROM said, json_each(body, '$.people') AS one WHERE kind = 'shift start';

-- What each dosimeter showed at the start, as written.
CREATE VIEW start_reading AS SELECT
    entry,
    one.key + 1 AS person,
    shown.key + 1 AS ordinal,
    ended_by,
    iif(typeof(shown.value ->> 'dosimeter') = 'integer', shown.value ->> 'dosimeter', NULL)
        AS dosimeter,
    shown.value ->> 'start' AS start,
    shown.value ->> 'recharged' AS recharged
FROM said, json_each(body, '$.people') AS one, json_each(one.value, '$.readings') AS shown
WHERE kind = 'shift start';

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

CREATE VIEW settlement AS SELECT
    entry,
    ended_by,
    body ->> 'badge' AS badge,
    body ->> 'of_record' AS of_record,
    body ->> 'on' AS on_day,
    body ->> 'by' AS settled_by,
    body ->> 'second_by' AS second_by,  -- where the dose is the settler's own
    body ->> 'reason' AS why
FROM said WHERE kind = 'settlement';

-- What the RSO decided between results and determinations that contradict each
-- other, by the versions that were known then. It ends when one that stands by
-- it is replaced.
CREATE VIEW resolution AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'on' AS on_day,
    body ->> 'by' AS decided_by,
    body ->> 'second_by' AS second_by,  -- where the dose is the decider's own
    body ->> 'reason' AS why
FROM said WHERE kind = 'resolution';

CREATE VIEW resolution_claim AS SELECT
    entry,
    row_number() OVER (PARTITION BY entry ORDER BY at, nth) AS ordinal,
    ended_by,
    CASE at WHEN 1 THEN 'stands' WHEN 2 THEN 'rest' ELSE 'set aside' END AS place,
    claim ->> 'record' AS claim,   -- a result or a determination
    claim ->> 'entry' AS version   -- of it, that was known
FROM (
    SELECT entry, ended_by, 1 AS at, one.key AS nth, one.value AS claim
    FROM said, json_each(body, '$.stands') AS one WHERE kind = 'resolution'
    UNION ALL
    SELECT entry, ended_by, 2, 0, body -> 'rest'
    FROM said WHERE kind = 'resolution' AND body -> 'rest' IS NOT NULL
    UNION ALL
    SELECT entry, ended_by, 3, one.key, one.value
    FROM said, json_each(body, '$.set_aside') AS one WHERE kind = 'resolution'
);

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
CREATE VIEW superseded AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    one.value ->> 'record' AS claim,
    one.value ->> 'entry' AS version
FROM said, json_each(body, '$.supersedes') AS one WHERE kind = 'determination';

CREATE VIEW planned_exposure AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'first_day' AS first_day,
    body ->> 'last_day' AS last_day,
    body ->> 'authorized_on' AS authorized_on,
    body ->> 'basis' AS basis
FROM said WHERE kind = 'planned special exposure';

CREATE VIEW qualification AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'sort' AS sort,
    body ->> 'on' AS on_day,
    body ->> 'until' AS until,
    body ->> 'by' AS done_by,
    body ->> 'note' AS note
FROM said WHERE kind = 'qualification';

-- Which heading of a processor's report holds which of our columns.
CREATE VIEW mapping AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'name' AS name
FROM said WHERE kind = 'mapping';

CREATE VIEW mapping_column AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    one.value ->> 0 AS name,  -- ours
    one.value ->> 1 AS heading  -- the report's
FROM said, json_each(body, '$.columns') AS one WHERE kind = 'mapping';

-- What was decided about a held item.
CREATE VIEW ruling AS SELECT
    entry,
    ended_by,
    body ->> 'record' AS held_record,  -- the sheet, badge or result
    body ->> 'entry' AS held_entry,
    body ->> 'item' AS held_item,
    body ->> 'outcome' AS outcome,
    body ->> 'reason' AS why
FROM said WHERE kind = 'ruling';

-- Answers to findings.
CREATE VIEW decision AS SELECT
    entry,
    ended_by,
    body ->> 'finding' AS finding,
    body ->> 'answer' AS answer
FROM said WHERE kind = 'decision';

-- What went wrong. Moments are local time with its offset.
CREATE VIEW event AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'name' AS name,
    body ->> 'kind' AS kind,  -- a key of the scheme
    body ->> 'occurred' AS occurred,
    body ->> 'discovered' AS discovered,
    body ->> 'job' AS job,
    body ->> 'place' AS place,
    body ->> 'words' AS words
FROM said WHERE kind = 'event';

CREATE VIEW event_item AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    one.value AS item
FROM said, json_each(body, '$.equipment') AS one WHERE kind = 'event';

CREATE VIEW event_person AS SELECT
    entry,
    one.key + 1 AS ordinal,
    ended_by,
    -- NULL: a name that the ledger does not know.
    iif(typeof(one.value ->> 'person') = 'integer', one.value ->> 'person', NULL) AS worker,
    iif(typeof(one.value ->> 'person') = 'text', one.value ->> 'person', NULL) AS name,
    one.value ->> 'role' AS role,
    one.value ->> 'monitored' AS monitored  -- NULL: not said
FROM said, json_each(body, '$.people') AS one WHERE kind = 'event';

-- What happened besides what the event was opened with.
CREATE VIEW event_happening AS SELECT
    entry,
    ended_by,
    body ->> 'event' AS event,
    body ->> 'happening' AS happening,  -- a kind of the scheme
    body ->> 'at' AS at,  -- a moment, or what is known of it
    body ->> 'words' AS words
FROM said WHERE kind = 'event happening';

CREATE VIEW event_note AS SELECT
    entry,
    ended_by,
    body ->> 'event' AS event,
    body ->> 'at' AS at,
    iif(typeof(body ->> 'person') = 'integer', body ->> 'person', NULL) AS worker,
    -- Of somebody whom the ledger does not know.
    iif(typeof(body ->> 'person') = 'text', body ->> 'person', NULL) AS name,
    body ->> 'barrier' AS barrier,
    body ->> 'state' AS state,  -- present, absent, off, unheeded
    body ->> 'disputes' AS disputes,  -- an inspection
    body ->> 'item' AS item,  -- of the checklist
    body ->> 'words' AS words
FROM said WHERE kind = 'event note';

-- Causes as they were believed; the newest holds.
CREATE VIEW event_cause AS SELECT
    entry,
    ended_by,
    body ->> 'event' AS event,
    body ->> 'known_at' AS known_at,
    body ->> 'equipment' AS equipment,  -- NULL, as the next two: human, or not found
    body ->> 'component' AS component,
    body ->> 'failure' AS failure,
    body ->> 'human' AS human,
    body ->> 'sort' AS sort,  -- NULL: it stands alone, in the place of all before it
    body ->> 'leads_to' AS leads_to,
    body ->> 'because' AS because
FROM said WHERE kind = 'event cause';

CREATE VIEW event_action AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'event' AS event,
    body ->> 'plan' AS plan,  -- the planned action that it carries out
    body ->> 'due_on' AS due_on,
    body ->> 'done_on' AS done_on,
    body ->> 'by' AS done_by,
    body ->> 'words' AS words
FROM said WHERE kind = 'event action';

CREATE VIEW event_link AS SELECT
    entry,
    ended_by,
    body ->> 'event' AS event,
    body ->> 'record' AS linked,
    body ->> 'worker' AS worker,
    body ->> 'dosimeter' AS dosimeter
FROM said WHERE kind = 'event link';

-- Answers to the questions of a rule.
CREATE VIEW duty_answer AS SELECT
    entry,
    ended_by,
    body ->> 'event' AS event,
    body ->> 'question' AS question,
    body ->> 'at' AS at,
    body ->> 'answer' AS answer,
    body ->> 'reason' AS reason
FROM said WHERE kind = 'duty answer';

-- Notices that were given.
CREATE VIEW duty_done AS SELECT
    entry,
    ended_by,
    body ->> 'event' AS event,
    body ->> 'duty' AS duty,
    body ->> 'from' AS from_start,  -- of the clock that it answers
    body ->> 'at' AS at,
    body ->> 'by' AS done_by,
    body ->> 'to' AS told,
    body ->> 'reference' AS reference
FROM said WHERE kind = 'duty done';

-- Whether an item of the checklist could have shown what failed.
CREATE VIEW conclusion AS SELECT
    entry,
    ended_by,
    body ->> 'event' AS event,
    body ->> 'equipment' AS equipment,  -- NULL: on a barrier
    body ->> 'item' AS item,  -- its key, or the barrier
    body ->> 'coverage' AS coverage,
    body ->> 'on' AS on_day,
    body ->> 'by' AS concluded_by,
    body ->> 'because' AS because
FROM said WHERE kind = 'conclusion';

CREATE VIEW event_end AS SELECT
    entry,
    ended_by,
    body ->> 'event' AS event,
    body ->> 'on' AS on_day,
    body ->> 'by' AS closed_by,
    body ->> 'words' AS words
FROM said WHERE kind = 'event end';

-- The RSO's signature under a month, with what it showed.
CREATE VIEW review AS SELECT
    entry,
    ended_by,
    body ->> 'month' AS month,
    body ->> 'on' AS on_day,
    body ->> 'by' AS signed_by,
    body ->> 'entries' AS entries,  -- how many it covers
    body ->> 'head' AS head,  -- the hash of the last of them
    body ->> 'open_stops' AS open_stops,
    body ->> 'program' AS program,
    body ->> 'reason' AS reason
FROM said WHERE kind = 'review';

CREATE VIEW review_figure AS SELECT
    entry,
    one.value ->> 'worker' AS worker,
    ended_by,
    one.value ->> 'month_nsv' AS month_nsv,
    one.value ->> 'at_least' AS at_least,
    one.value ->> 'year_nsv' AS year_nsv,
    one.value ->> 'of_record_nsv' AS of_record_nsv
FROM said, json_each(body, '$.figures') AS one WHERE kind = 'review';

-- Annual reports that were sent to the authority.
CREATE VIEW annual_report AS SELECT
    entry,
    ended_by,
    body ->> 'year' AS year,  -- the licensee's, named after the calendar year in which it begins
    body ->> 'to' AS told,
    body ->> 'on' AS on_day,
    body ->> 'by' AS sent_by,
    body ->> 'reference' AS reference,  -- the receipt, or the number of the parcel
    body ->> 'worker' AS worker  -- whose own report it is; none: to the authority
FROM said WHERE kind = 'annual report';

-- Requests to other employers for the record of a dose.
CREATE VIEW dose_request AS SELECT
    entry,
    ended_by,
    body ->> 'worker' AS worker,
    body ->> 'employer' AS employer,
    body ->> 'on' AS on_day,
    body ->> 'first_day' AS first_day,  -- of the period that was asked for
    body ->> 'last_day' AS last_day,
    body ->> 'answered_on' AS answered_on,  -- where the answer was no dose; a dose is a prior dose
    body ->> 'answer' AS answer
FROM said WHERE kind = 'dose request';

-- Photos and papers; what is kept stands in the table `evidence_file`.
CREATE VIEW evidence AS SELECT
    entry,
    ended_by,
    record,
    body ->> 'about' AS about,  -- the record that it goes with
    body ->> 'sort' AS sort,
    body ->> 'words' AS words,
    body ->> 'digest' AS digest,  -- SHA-256 of what is kept
    body ->> 'bytes' AS bytes,
    body ->> 'width' AS width,  -- pixels
    body ->> 'height' AS height,
    body ->> 'sent' AS sent,  -- SHA-256 of what was sent
    body ->> 'sent_bytes' AS sent_bytes,
    body ->> 'original' AS original  -- 1: kept as it was sent
FROM said WHERE kind = 'evidence';

-- What was erased of it; that stays, whatever comes later.
CREATE VIEW evidence_erasure AS SELECT
    entry,
    ended_by,
    body ->> 'digest' AS digest,
    body ->> 'on' AS on_day,
    body ->> 'by' AS erased_by,
    body ->> 'reason' AS reason
FROM said WHERE kind = 'evidence erasure';
