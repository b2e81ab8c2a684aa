//! One function for each thing that a person asks: a short read at one point
//! of the ledger, pure code, a plain value that `show` prints. May use `dose`,
//! `source` and everything below them; with `intake`, which stands above it,
//! the only caller of `ledger`.
//!
//! A folder a subject and in it a file a question. `context` is what they stand
//! on: `names` finds records by the words people use, `load` turns records into
//! the values that the computations take, `view` has what several answers share.

pub use crate::dose::reconstruct::{BodyPart, Position, Range, Shield, Slip};
pub use crate::dose::resolve::{Conflict, Side, Silence};
pub use crate::source::Material;
pub use crate::source::usual::{Named, named, unusual};

mod context;
mod dose;
mod entry;
mod equipment;
mod event;
mod records;
mod review;
mod status;

pub use crate::notification::{Applies, Progress};
pub use context::clock::is_unusual;
pub use context::effect::Standings;
pub use context::error::AnswerError;
pub use context::here::same_name;
pub use context::houses::Houses;
pub use context::load::{House, OpenHouse};
pub use context::moment::{Moment, Roughly};
pub use context::names::Names;
pub use context::near::near;
pub use context::service::LifeLine;
pub use context::sought::{NoSuchName, Sought};
pub use context::spelling::{Difference, FieldLine, Spelling};
pub use context::view::{DoseFigure, LevelLine, TotalView, WholeLine};
pub use dose::account::{
    DoseAnswer, NoMoreLine, QuantityLine, WhyLine, YearAnswer, YearStep, dose_of, year_of,
};
pub use dose::annual_report::{AnnualReportView, AnnualState, GivenView, SentLine};
pub(crate) use dose::annual_report::{is_of_somebody, monitored_in};
pub use dose::collective::{CollectiveAnswer, CollectiveMonth, collective};
pub use dose::conflict::{
    ConflictLine, ConflictOutcome, ConflictSide, by_flags, open_conflicts, settled_by,
};
pub use dose::crew::{CrewAnswer, CrewLine, dose_of_crew};
pub use dose::embryo::EmbryoDose;
pub use dose::forecast::{
    AheadAnswer, ChangeLine, EndLine, FanPoint, ForecastAnswer, ForecastLine, ahead_of, forecast_of,
};
pub use dose::look_back::LookBackLine;
pub use dose::nobody::NobodysLine;
pub use dose::notional::{NotionalAnswer, NotionalLine, notional_of};
pub use dose::plan::{
    AllowanceLine, BoundaryLine, DistanceLine, PlanAnswer, PlanAsked, RateFigure, plan,
};
pub use dose::private::{
    DeclarationLine, GoneLine, GoneWhy, Identification, PrivateAnswer, private_of,
};
pub use dose::reconcile::{ReconcileAnswer, ReconcileLine, reconcile};
pub use dose::reconcile_span::{ReconcileTotal, WithoutBadgeLine, YearToDateLine};
pub use dose::reconstruct::{
    BesideLine, BesideView, PositionLine, ReconstructAnswer, reconstruct_dose,
};
pub use dose::reconstruct_asked::{EstimateView, ReconstructAsked};
pub use dose::strength::{ConstantView, SourceAsked, StrengthView};
pub use entry::adopting::{
    AdoptionChanges, LicenseAsked, SaidOfPast, levels_no_more, license_asked, said_of_past,
};
pub use entry::entries::{EntryAnswer, RuleSetLine, entry_of, history_of, last_sheet, rule_sets};
pub use entry::evidence::{ErasedLine, EvidenceAnswer, EvidenceLine, documented, evidence};
pub use entry::evidence_one::{OneEvidence, evidence_at};
pub use entry::form::{
    FormDosimeter, FormHead, FormMember, InspectionForm, SheetForm, SheetFormAsked,
    inspection_to_print, proposed, sheet_form,
};
pub use entry::form_code::{FORM_MARK, PrintedForm, PrintedInspection, PrintedSheet, ReadForm};
pub use entry::form_fault::FormFault;
pub use entry::form_read::{
    MOST_COPIES, inspection_form_of, read_form, sheet_form_of, typed_in_inspections,
    typed_in_sheets,
};
pub use entry::language::{language_of, language_of_last_crew};
pub use entry::lists::{ListLine, ListsAnswer, lists};
pub use entry::register::register_of;
pub use entry::register_table::RegisterAnswer;
pub use entry::sheet::{PersonLine, SheetsAnswer, after_sheets, stops_of};
pub use entry::sheet_met::{Meeting, Met, sheets_met, starts_met};
pub use entry::sheet_offer::{
    LastEquipment, LastTime, Member, Offered, OfferedType, SheetOffer, face_unit, is_recharged,
    last_time_of, member_of, meter_unit, offered, sheet_offer, shift_day,
};
pub use entry::sheet_start::{OpenStart, open_starts};
pub use equipment::calendar::{CalendarAnswer, CalendarLine, Subject, calendar};
pub use equipment::calibration::{Assessment, PointFault, assess_check};
pub use equipment::category::{PlaceLine, places};
pub use equipment::checklist::{ListLineage, checklists_of};
pub use equipment::due::{DueAnswer, due};
pub use equipment::due_ahead::{DeadlineLine, DueAhead, DueEvent, DueWhen, due_ahead};
pub use equipment::due_line::{DueLine, DueState};
pub use equipment::inactive_item::{InactiveFact, InactiveItem};
pub use equipment::inspection::{
    AfterInspections, ControlLine, InspectionAnswer, InspectionLine, InspectionsAnswer, LineView,
    ToInspect, after_inspections, all_equipment, inspection_of, inspections, last_set,
};
pub use equipment::item::{CheckLine, CorrectionLine, ItemAnswer, PartLine, PointLine, item_of};
pub use equipment::label::{Label, LabelsAnswer, LabelsOf, labels};
pub use equipment::wear::{
    Foretold, ItemWear, PartSeries, WearAnswer, WearLine, WearList, WearPoint, wear_list, wear_of,
};
pub use equipment::wear_drawing::{WearDrawing, wear_drawing};
pub use event::happened::{Happened, happened, kind_of, kinds_of};
pub use event::in_event::kept_in;
pub use event::lines::EventLine;
pub use event::list::{EventHead, EventsAnswer, events};
pub use event::notification::{
    NotificationAnswer, NotificationsAnswer, notification_of, notifications_all, notifications_of,
    notifications_to_close, open_duties,
};
pub use event::notification_changes::{DutyChanges, duty_changes};
pub use event::notification_line::NotificationLine;
pub use event::notification_people::NotificationPerson;
pub use event::notification_questions::NotificationQuestion;
pub use event::notification_report::{
    DraftAnswer, DraftContent, DraftSection, PrivateLine, draft_of,
};
pub use event::notification_reports::OwedCount;
pub use event::ranking::{RankingAnswer, ranking_of};
pub use event::record::{EventAnswer, EventPersonLine, event_of, missing_to_close};
pub use event::trace::{BARRIERS, TraceAnswer, TraceCause, TracePerson, TraceStep, trace_of};
pub use event::trace_row::{NO_ITEM, TraceRow, WearThen};
pub use records::{
    Cell, Column, Place, RecordsAnswer, RecordsPart, RecordsSpan, UseAsked, breakdown,
    calibrations, inventories, lapsed, leak_tests, person, sources, tracking, utilization,
    yearly_reports,
};
pub use review::alert::{Alert, AlertType};
pub use review::alert_readers::AlertReaderLine;
pub use review::alerts::{AlertsAnswer, Standing, alerts, alerts_for};
pub use review::desk::{ReviewLine, ReviewSection};
pub use review::findings::{FindingLine, FindingsAnswer, finding_stands, findings};
pub use review::month::{ReviewAnswer, review};
pub use review::people::ReviewPerson;
pub use review::pictures::{ReviewPictures, review_pictures};
pub use review::retention::{RetentionLine, evidence_held};
pub use review::signed::{Changed, DiffAnswer, SignedLine, figures_of, review_diff};
pub use review::statement::{
    DosePart, DosePartLine, EarlierDose, StatementAnswer, StatementForm, statement,
};
pub use review::statement_items::{ItemStanding, StatementItem};
pub use review::statement_reasons::{BadgeAt, Reason};
pub use review::to_do::ToDo;
pub use review::year::{BandLine, BesideCollective, CollectiveLine, YearReview, year_review};
pub use status::board::{
    BoardAnswer, BoardClock, BoardDue, BoardPerson, BoardReason, TurnedAway, board, board_seen_by,
};
pub use status::board_equipment::{
    InstrumentGroup, SetLine, SetReason, SetState, against_items, sets,
};
pub use status::copies::CopyLine;
pub use status::covered::{Gap, NotCovered};
pub use status::leaver::{Afterwards, AskedBy, AwaitedBadge, LeaverAnswer, MonitoringEnd, leaver};
pub use status::on_hold::{HeldAnswer, HeldLine, held};
pub use status::pack::{PackAnswer, PackPart, pack};
pub use status::start_warned::{StartAnswer, after_start};
pub use status::work_status::{
    DutyLine, WorkStatusAnswer, WorkStatusLine, against_crew, work_status,
};
