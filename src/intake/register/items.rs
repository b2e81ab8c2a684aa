//! Jobs, instruments with their checks, and equipment with its life.

use super::{Column, Reader, Register, RowBodies, did_you_mean, equipment, only, register};
use crate::answer::{Named, Names, named};
use crate::intake::file::fields::Fields;
use crate::record::{
    Check, CheckResult, CheckType, Equipment, EquipmentType, Instrument, InstrumentType, Job,
    Scale, ServiceReturn, Setting, Withdrawal,
};

register!(JOBS: "job" "add" "import" "job", Names read_job, [
    "id" true "short name of the job, such as `J-12`",
    "place" true "where the work is",
    "jurisdiction" true "whose rules hold there and whom to notify",
    "setting" true "temporary jobsite or permanent radiographic installation",
    "zone" true "IANA time zone of the place, such as `America/Chicago`",
    "first_day" false "first day of work",
    "last_day" false "last day of work",
    "reciprocity_filed" false "where the license is another's: day on which the form was filed",
    "reciprocity_reference" false "the authority's number of it",
    "client" false "for whom the work is done",
]);

register!(INSTRUMENTS: "instrument" "add" "import" "instrument", Names read_instrument, [
    "id" true "short name, such as `PD-03`",
    "type" true "pocket dosimeter, electronic dosimeter, alarm ratemeter or survey meter",
    "maker" false "maker, as on the label",
    "model" false "model, as on the label",
    "serial" true "serial number",
    "unit" false "unit on a dosimeter's face: mR, mrem, uSv or mSv",
    "range" false "highest reading that a dosimeter can show, such as `200 mR`",
    "scale" false "of a survey meter: linear, logarithmic or digital",
    "scales" false "full-scale values of a survey meter, such as `10 mR/h / 100 mR/h`",
    "alarm_preset" false "rate at which a ratemeter sounds, such as `500 mR/h`",
    "in_service" false "first day of service",
]);

register!(CHECKS: "instrument" "check" "checks" "check", Names read_check, [
    "instrument" true "the instrument's id",
    "on" true "day of the check",
    "type" true "calibration or response check",
    "result" true "pass or fail",
    "performed_by" true "who did it",
    "certificate" false "number of the certificate",
    "row" false "the number of its row in the office's own file, such as `117`",
]);

register!(EQUIPMENT: "equipment" "add" "import" "item of equipment", Names read_equipment, [
    "id" true "short name, such as `D-2`",
    "type" true "exposure device, source assembly, control unit, guide tube, collimator, ...",
    "maker" false "maker, as on the label",
    "model" false "model, as on the label",
    "serial" true "serial number",
    "nuclide" false "of a source assembly, such as `Ir-192`",
    "activity" false "of a source assembly on its reference date, such as `85 Ci`",
    "activity_on" false "reference date of the activity",
    "in_service" false "first day of service",
    "uranium_tube" false "yes where a device's shield is of uranium around a tube",
    "received_on" false "day on which it came",
    "received_from" false "from whom it came",
    "received_by" false "who took it in",
    "shipping_paper" false "number and date of the shipping paper that it came with",
    "uranium_mass" false "mass of depleted uranium with its unit, as on the label",
]);

register!(WITHDRAWALS: "equipment" "out-of-service" "out-of-service-list" "removal from \
    service", Names read_withdrawal, [
    "item" true "id of the equipment or instrument",
    "on" true "day on which it was taken out of service",
    "reason" true "why",
    "performed_by" true "who took it out of service",
    "transferred_to" false "to whom it was transferred for good, with their license",
    "shipping_paper" false "number and date of the shipping paper that it left with",
    "license_verified" false "of a transfer: how the receiver's license was verified",
]);

register!(RETURNS: "equipment" "return" "returns" "return to service", Names read_return, [
    "item" true "id of the equipment or instrument",
    "on" true "day on which it was put back",
    "done" true "what was repaired, replaced or tested",
    "performed_by" true "who put it back",
]);

fn read_job(fields: &mut Fields<'_>, _: &Names) -> Option<RowBodies> {
    let id = fields.needed(0, "such as `J-12`");
    let place = fields.needed(1, "where the work is");
    let jurisdiction = fields.needed(2, "such as `US NRC`");
    let setting = fields.needed_word::<Setting>(3);
    let zone = fields.needed(4, "such as `America/Chicago`");
    let (first_day, last_day) = (fields.day(5), fields.day(6));
    let client = fields.text(9);
    only(Job {
        client,
        first_day,
        id: id?,
        jurisdiction: jurisdiction?,
        last_day,
        place: place?,
        reciprocity_filed: fields.day(7),
        reciprocity_reference: fields.text(8),
        setting: setting?,
        zone: zone?,
    })
}

fn read_instrument(fields: &mut Fields<'_>, _: &Names) -> Option<RowBodies> {
    let id = fields.needed(0, "such as `PD-03`");
    let kind = fields.needed_word::<InstrumentType>(1);
    let (maker, model) = (fields.text(2), fields.text(3));
    let serial = fields.needed(4, "the serial number");
    let (face, range) = (fields.text(5), fields.text(6));
    let scale = fields.word::<Scale>(7);
    let scales = fields
        .cell(8)
        .split(" / ")
        .map(str::trim)
        .filter(|scale| !scale.is_empty())
        .map(str::to_owned)
        .collect();
    let alarm_preset = fields.text(9);
    let in_service = fields.day(10);
    only(Instrument {
        alarm_preset,
        face,
        id: id?,
        in_service,
        maker,
        model,
        range,
        scale,
        scales,
        serial: serial?,
        kind: kind?,
    })
}

fn read_check(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let instrument = equipment(fields, names, 0);
    let on = fields.needed_day(1);
    let kind = fields.needed_word::<CheckType>(2);
    let result = fields.needed_word::<CheckResult>(3);
    let by = fields.needed(4, "who did it");
    let certificate = fields.text(5);
    only(Check {
        by: by?,
        certificate,
        instrument: instrument?,
        on: on?,
        points: Vec::new(),
        result: result?,
        row: None,
        kind: kind?,
    })
}

fn read_equipment(fields: &mut Fields<'_>, _: &Names) -> Option<RowBodies> {
    let id = fields.needed(0, "such as `D-2`");
    let kind = fields.needed_word::<EquipmentType>(1);
    let (maker, model) = (fields.text(2), fields.text(3));
    let serial = fields.needed(4, "the serial number");
    let nuclide = read_nuclide(fields);
    let activity = fields.activity(6);
    let activity_on = fields.day(7);
    let in_service = fields.day(8);
    let uranium_tube = fields.yes(9);
    let received_on = fields.day(10);
    let (received_from, received_by) = (fields.text(11), fields.text(12));
    let (shipping_paper, uranium_mass) = (fields.text(13), fields.text(14));
    let unread = |column: usize| !fields.cell(column).is_empty();
    if unread(6) && activity.is_none() || unread(5) && nuclide.is_none() {
        return None;
    }
    only(Equipment {
        activity_bq: activity,
        activity_on,
        held: Vec::new(),
        id: id?,
        in_service,
        maker,
        model,
        nuclide,
        received_by,
        received_from,
        received_on,
        serial: serial?,
        shipping_paper,
        kind: kind?,
        uranium_mass,
        uranium_tube,
    })
}

/// A nuclide that exists, as it was written.
fn read_nuclide(fields: &mut Fields<'_>) -> Option<String> {
    let name = fields.text(5)?;
    let Named::Nothing(near) = named(&name) else {
        return Some(name);
    };
    let near: Vec<String> = near.into_iter().map(str::to_owned).collect();
    let right = did_you_mean(&near, "symbol and mass number, such as `Ir-192`");
    fields.fault(5, "is not a nuclide that is known here", right);
    None
}

fn read_withdrawal(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let item = equipment(fields, names, 0);
    let on = fields.needed_day(1);
    let reason = fields.needed(2, "why it was taken out of service");
    let by = fields.needed(3, "who took it out of service");
    let (transferred_to, shipping_paper) = (fields.text(4), fields.text(5));
    only(Withdrawal {
        by: by?,
        item: item?,
        licence_verified: fields.text(6),
        on: on?,
        reason: reason?,
        shipping_paper,
        transferred_to,
    })
}

fn read_return(fields: &mut Fields<'_>, names: &Names) -> Option<RowBodies> {
    let item = equipment(fields, names, 0);
    let on = fields.needed_day(1);
    let done = fields.needed(2, "what was repaired, replaced or tested");
    let by = fields.needed(3, "who put it back into service");
    only(ServiceReturn {
        by: by?,
        done: done?,
        item: item?,
        on: on?,
    })
}
