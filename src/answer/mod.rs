//! One function for each thing that a person asks: a short read at one point
//! of the ledger, pure code, a plain value that `show` prints. May use `dose`,
//! `source` and everything below them; with `intake`, which stands above it,
//! the only caller of `ledger`.
//!
//! `names` finds records by the words people use, `load` turns records into
//! the values that the computations take, `view` has the plain values that
//! several answers share, and there is a file a question.

pub use crate::dose::reconstruct::{BodyPart, Position, Range, Shield, Slip};
pub use crate::dose::resolve::{Conflict, Side, Silence};
pub use crate::source::Material;
pub use crate::source::usual::{Named, named, unusual};

mod account;
mod adopted;
mod adopting;
mod annual_report;
mod as_it_stands;
mod badge_clock;
mod board;
mod board_things;
mod bystander;
mod calendar;
mod calibration;
mod category;
mod checklist;
mod clock;
mod collective;
mod conflict;
mod covered;
mod crew;
mod dose_request;
mod due;
mod due_line;
mod effect;
mod embryo;
mod entries;
mod error;
mod event;
mod event_cause;
mod event_lines;
mod event_list;
mod event_person;
mod event_service;
mod extremity;
mod findings;
mod forecast;
mod forecast_behind;
mod handling;
mod happened;
mod held;
mod here;
mod in_event;
mod inactive;
mod inactive_item;
mod inspection;
mod item_facts;
mod leaver;
mod level_findings;
mod license;
mod lists;
mod load;
mod load_badge;
mod load_history;
mod load_house;
mod load_worker;
mod look_back;
mod looked_at;
mod maintenance;
mod maintenance_findings;
mod measures;
mod moment;
mod names;
mod names_roles;
mod near;
mod nobody;
mod notification;
mod notification_before;
mod notification_changes;
mod notification_contents;
mod notification_doses;
mod notification_facts;
mod notification_gone;
mod notification_happened;
mod notification_hide;
mod notification_line;
mod notification_people;
mod notification_questions;
mod notification_report;
mod notification_reports;
mod notional;
mod pack;
mod plan;
mod presence;
mod private;
mod qualification_findings;
mod qualified;
mod ranking;
mod read_once;
mod reconcile;
mod reconcile_span;
mod reconstruct;
mod reconstruct_asked;
mod reconstruct_with;
mod records;
mod register;
mod register_badge;
mod register_table;
mod retention;
mod review;
mod review_away;
mod review_desk;
mod review_events;
mod review_items;
mod review_people;
mod review_pictures;
mod review_sections;
mod review_signed;
mod service;
mod sheet;
mod sheet_facts;
mod sheet_figures;
mod sheet_met;
mod sheet_offer;
mod sheet_start;
mod sheets_of;
mod shift_hours;
mod spelling;
mod start_warned;
mod statement;
mod statement_items;
mod statement_reasons;
mod strength;
mod thing;
mod to_do;
mod trace;
mod trace_checks;
mod trace_extent;
mod trace_facts;
mod trace_row;
mod trace_rows;
mod tracking;
mod tracking_asked;
mod unseen;
mod view;
mod wear;
mod wear_drawing;
mod wear_findings;
mod wear_peers;
mod work_status;
mod work_status_things;
mod year_review;

pub use crate::notification::{Applies, Progress};
pub use account::{
    DoseAnswer, NoMoreLine, QuantityLine, WhyLine, YearAnswer, YearStep, dose_of, year_of,
};
pub use adopting::{
    AdoptionChanges, LicenseAsked, SaidOfPast, levels_no_more, license_asked, said_of_past,
};
pub use annual_report::{AnnualReportView, AnnualState, GivenView, SentLine};
pub(crate) use annual_report::{is_of_somebody, monitored_in};
pub use board::{BoardAnswer, BoardClock, BoardDue, BoardPerson, BoardReason, board};
pub use board_things::{InstrumentGroup, SetLine, SetReason, SetState, against_pieces, sets};
pub use calendar::{CalendarAnswer, CalendarLine, Subject, calendar};
pub use calibration::{Assessment, PointFault, assess_check};
pub use category::{PlaceLine, places};
pub use checklist::{ListLineage, checklists_of};
pub use clock::is_unusual;
pub use collective::{CollectiveAnswer, CollectiveMonth, collective};
pub use conflict::{
    ConflictLine, ConflictOutcome, ConflictSide, by_flags, open_conflicts, settled_by,
};
pub use covered::{Gap, NotCovered};
pub use crew::{CrewAnswer, CrewLine, dose_of_crew};
pub use due::{DueAnswer, due};
pub use due_line::{DueLine, DueState};
pub use effect::Standings;
pub use embryo::EmbryoDose;
pub use entries::{EntryAnswer, RuleSetLine, entry_of, history_of, last_sheet, rule_sets};
pub use error::AnswerError;
pub use event::{EventAnswer, EventPersonLine, event_of, missing_to_close};
pub use event_lines::EventLine;
pub use event_list::{EventHead, EventsAnswer, events};
pub use findings::{FindingLine, FindingsAnswer, finding_stands, findings};
pub use forecast::{
    AheadAnswer, ChangeLine, EndLine, FanPoint, ForecastAnswer, ForecastLine, ahead_of, forecast_of,
};
pub use happened::{Happened, happened, kind_of, kinds_of};
pub use held::{HeldAnswer, HeldLine, held};
pub use here::same_name;
pub use in_event::kept_in;
pub use inactive_item::{InactiveFact, InactiveItem};
pub use inspection::{
    AfterInspections, ControlLine, InspectionAnswer, InspectionLine, InspectionsAnswer, LineView,
    Piece, after_inspections, inspection_of, inspections, last_set, pieces,
};
pub use leaver::{Afterwards, AskedBy, AwaitedBadge, LeaverAnswer, MonitoringEnd, leaver};
pub use lists::{ListLine, ListsAnswer, lists};
pub use load::House;
pub use look_back::LookBackLine;
pub use moment::{Moment, Roughly};
pub use names::{Names, NoSuchName};
pub use near::near;
pub use nobody::NobodysLine;
pub use notification::{
    NotificationAnswer, NotificationsAnswer, notification_of, notifications_all, notifications_of,
    notifications_to_close, open_duties,
};
pub use notification_changes::{DutyChanges, duty_changes};
pub use notification_line::NotificationLine;
pub use notification_people::NotificationPerson;
pub use notification_questions::NotificationQuestion;
pub use notification_report::{DraftAnswer, DraftContent, DraftSection, PrivateLine, draft_of};
pub use notional::{NotionalAnswer, NotionalLine, notional_of};
pub use pack::{PackAnswer, PackPart, pack};
pub use plan::{
    AllowanceLine, BoundaryLine, DistanceLine, PlanAnswer, PlanAsked, RateFigure, plan,
};
pub use private::{DeclarationLine, GoneLine, GoneWhy, Identification, PrivateAnswer, private_of};
pub use ranking::{RankingAnswer, ranking_of};
pub use reconcile::{ReconcileAnswer, ReconcileLine, reconcile};
pub use reconcile_span::{ReconcileTotal, WithoutBadgeLine, YearToDateLine};
pub use reconstruct::{BesideLine, BesideView, PositionLine, ReconstructAnswer, reconstruct_dose};
pub use reconstruct_asked::{EstimateView, ReconstructAsked};
pub use records::{
    Cell, Column, Place, RecordsAnswer, RecordsPart, RecordsSpan, UseAsked, breakdown,
    calibrations, inventories, lapsed, leak_tests, person, sources, tracking, utilization,
    yearly_reports,
};
pub use register::register_of;
pub use register_table::RegisterAnswer;
pub use retention::RetentionLine;
pub use review::{ReviewAnswer, review};
pub use review_desk::{ReviewLine, ReviewSection};
pub use review_people::ReviewPerson;
pub use review_pictures::{ReviewPictures, review_pictures};
pub use review_signed::{Changed, DiffAnswer, SignedLine, figures_of, review_diff};
pub use service::LifeLine;
pub use sheet::{PersonLine, SheetsAnswer, after_sheets, stops_of};
pub use sheet_met::{Meeting, Met, sheets_met, starts_met};
pub use sheet_offer::{
    LastPiece, LastTime, Member, Offered, OfferedSort, SheetOffer, face_unit, is_recharged,
    last_time_of, member_of, meter_unit, offered, sheet_offer, shift_day,
};
pub use sheet_start::{OpenStart, open_starts};
pub use spelling::{Difference, FieldLine, Spelling};
pub use start_warned::{StartAnswer, after_start};
pub use statement::{
    DosePart, DosePartLine, EarlierDose, StatementAnswer, StatementForm, statement,
};
pub use statement_items::{ItemStanding, StatementItem};
pub use statement_reasons::{BadgeAt, Reason};
pub use strength::{ConstantView, SourceAsked, StrengthView};
pub use thing::{CheckLine, CorrectionLine, PartLine, PointLine, ThingAnswer, thing_of};
pub use to_do::ToDo;
pub use trace::{BARRIERS, TraceAnswer, TraceCause, TracePerson, TraceStep, trace_of};
pub use trace_row::{NO_ITEM, TraceRow, WearThen};
pub use view::{DoseFigure, LevelLine, TotalView, WholeLine};
pub use wear::{
    Foretold, ItemWear, PartSeries, WearAnswer, WearLine, WearList, WearPoint, wear_list, wear_of,
};
pub use wear_drawing::{WearDrawing, wear_drawing};
pub use work_status::{DutyLine, WorkStatusAnswer, WorkStatusLine, against_crew, work_status};
pub use year_review::{BandLine, BesideCollective, CollectiveLine, YearReview, year_review};
