//! A corrected record read again as a row of its register: what the register would refuse of the
//! new values is refused, and what it would have refused before too is no fault of the correction.

use super::{
    Register, RowDesk, badge, determination, items, maintenance, people, read_row, result,
    source_check,
};
use crate::answer::Spelling;
use crate::intake::entry::fault::{Fault, Faults, only_new};
use crate::intake::file::columns::{Columns, Row};
use crate::ledger::LedgerError;
use crate::record::{BadgeChange, Body};

/// The register that a body is typed into, where there is one.
fn register_of(body: &Body) -> Option<Register> {
    Some(match body {
        Body::Job(_) => items::JOBS,
        Body::Worker(_) => people::WORKERS,
        Body::RoleChange(_) => people::ROLES,
        Body::AlertReader(_) => people::ALERTS,
        Body::Monitoring(_) => people::MONITORING,
        Body::PriorDose(_) => people::PRIOR,
        Body::MissingQuarter(_) => people::MISSING,
        Body::DoseRequest(_) => people::REQUESTS,
        Body::Authorization(_) => people::AUTHORIZATIONS,
        Body::Qualification(_) => people::QUALIFICATIONS,
        Body::PlannedExposure(_) => people::PLANNED_EXPOSURES,
        Body::Instrument(_) => items::INSTRUMENTS,
        Body::Check(_) => items::CHECKS,
        Body::Equipment(_) => items::EQUIPMENT,
        Body::Withdrawal(_) => items::WITHDRAWALS,
        Body::ServiceReturn(_) => items::RETURNS,
        Body::InstalledPart(_) => maintenance::PARTS,
        Body::Servicing(_) => maintenance::SERVICES,
        Body::LeakTest(_) => maintenance::LEAK_TESTS,
        Body::Inventory(_) => maintenance::INVENTORIES,
        Body::Loading(_) => maintenance::LOADINGS,
        Body::SourceCheck(_) => source_check::SOURCE_CHECKS,
        Body::Badge(_) => badge::ISSUES,
        Body::BadgeEvent(it) => match it.change {
            BadgeChange::Returned => badge::RETURNS,
            BadgeChange::Sent => badge::SENDINGS,
            BadgeChange::Lost => badge::LOSSES,
            BadgeChange::Damaged => badge::DAMAGES,
        },
        Body::BadgeResult(_) => result::RESULTS,
        Body::Determination(_) => determination::DETERMINATIONS,
        _ => return None,
    })
}

/// Doses of a report stand in its columns under the minimum of the whole row; those of a stored
/// result have one each.
const OF_THE_ROW: &[&str] = &["deep", "lens", "shallow", "extremity"];

/// The faults of a body as a row of its register.
fn faults_of(desk: &RowDesk<'_>, body: &Body) -> Result<Vec<Fault>, LedgerError> {
    let Some(register) = register_of(body) else {
        return Ok(Vec::new());
    };
    let fields = Spelling::new(desk.snapshot, desk.names).fields(body)?;
    let is_result = matches!(body, Body::BadgeResult(_));
    let cells = register.names.iter().map(|name| {
        let field = fields.iter().find(|it| it.field == *name);
        let field = field.filter(|_| !(is_result && OF_THE_ROW.contains(name)));
        field.map(|it| it.value.clone()).unwrap_or_default()
    });
    let row = Row::typed(cells.collect());
    let mut faults = Faults::default();
    read_row(
        &register,
        &Columns::whole(register.names),
        &row,
        desk,
        &mut faults,
    )?;
    Ok(faults.list)
}

/// What the register refuses of the corrected body and would not have refused of the one before.
pub(in crate::intake) fn new_faults(
    desk: &RowDesk<'_>,
    before: &Body,
    after: &Body,
) -> Result<Vec<Fault>, LedgerError> {
    let old = faults_of(desk, before)?;
    Ok(only_new(&old, faults_of(desk, after)?))
}
