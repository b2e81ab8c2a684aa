//! What became of sources, and of devices with depleted uranium: received, put into a device,
//! taken out of it, withdrawn, transferred. Papers and people are as their entries name them.

use super::{
    Cell, Column, RecordsAnswer, RecordsDesk, RecordsPart, RecordsSpan, column, data, figures,
    under,
};
use crate::answer::context::error::AnswerError;
use crate::answer::context::load::OpenHouse;
use crate::answer::equipment::category::{PlaceLine, places};
use crate::calendar::Day;
use crate::ledger::Stored;
use crate::record::{Equipment, EquipmentType, Loading, RecordId, ServiceReturn, Withdrawal};

const COLUMNS: &[Column] = &[
    column("on", "day"),
    column("item", "source or device"),
    column("what", "what"),
    under("with", "with"),
    under("license_verified", "license verified"),
    column("by", "by"),
    data("maker", "maker"),
    data("model", "model"),
    data("serial", "serial"),
    data("nuclide", "nuclide"),
    data("activity", "activity"),
    data("activity_on", "on"),
    data("uranium", "uranium"),
    column("shipping_paper", "shipping paper"),
    figures("entry", "entry"),
];

const WITHOUT: &[Column] = &[
    column("item", "source or device"),
    column("serial", "serial"),
    column("in_service", "in service from"),
    column("first_loaded", "first put into a device"),
    figures("entry", "entry"),
];

const CATEGORIES: &[Column] = &[
    column("place", "place"),
    column("sources", "sources"),
    column("category", "category"),
    column("below_from", "below 2 from"),
    column("not_known", "not known"),
];

/// One thing that happened to an item.
struct Step {
    on: Day,
    what: String,
    with: Cell,
    license_verified: Cell,
    by: Cell,
    item: RecordId,
    paper: Cell,
    entry: i64,
}

/// Receipt, exchange and transfer of all sources, or of one.
///
/// # Errors
/// A name that the ledger does not know.
pub fn sources(
    house: &OpenHouse<'_>,
    source: Option<&str>,
    span: RecordsSpan,
) -> Result<RecordsAnswer, AnswerError> {
    let desk = RecordsDesk::new(house, span);
    let only = source.map(|it| house.names.equipment(it)).transpose()?;
    let only = only.map(|it| it.number());
    let rules = ["record-source", "record-byproduct"];
    let mut list = desk.list(
        "sources",
        "Receipt, exchange and transfer of sources",
        &rules,
    )?;
    list.asked
        .extend(only.map(|it| format!("source {}", house.names.label(it))));
    let asked = |item: RecordId| match only {
        Some(only) => only == item,
        None => is_kept(house.names.equipment_body(item)),
    };
    let mut steps = received(&desk)?;
    steps.extend(exchanged(&desk));
    steps.extend(out_of_service(&desk)?);
    steps.retain(|it| desk.span.contains(it.on) && asked(it.item));
    steps.sort_by_key(|it| (it.on, it.entry));
    let of = ("entry", "entries");
    let mut history = RecordsPart::new("history", "What became of them", of, COLUMNS);
    let items = steps.iter().map(|it| it.item).collect();
    history.rows = steps.into_iter().map(|it| row(&desk, it)).collect();
    history.notes.push(
        "Activity: as stated for its own day, not decayed. Taken out: by the entry of the source \
         that took its place."
            .to_owned(),
    );
    list.parts = vec![history, without_receipt(&desk, asked)?];
    list.parts.extend(categories(&desk, only)?);
    list.parts.push(desk.labels(items));
    Ok(list)
}

/// The category of sources by place on the day that counts as today; nothing where the rule set
/// tells none.
pub(super) fn categories(
    desk: &RecordsDesk<'_>,
    only: Option<RecordId>,
) -> Result<Option<RecordsPart>, AnswerError> {
    let places = places(desk.house, desk.on)?;
    let Some(rule) = places.last().map(|it| it.rule.clone()) else {
        return Ok(None);
    };
    let only = only.map(|it| desk.house.names.label(it));
    let asked = |it: &PlaceLine| {
        let with = |only: &String| it.place == *only || it.sources.contains(only);
        only.as_ref().is_none_or(with)
    };
    let title = format!("Category by place on {}", desk.on);
    let mut part = RecordsPart::new("categories", title, ("place", "places"), CATEGORIES);
    let shown = places.into_iter().filter(asked);
    part.rows = shown.map(place_row).collect();
    part.notes.push(format!(
        "Estimates by decay, on the high side ({rule}). The ledger knows which device holds a \
         source, not where a device stands: all together as if at one place."
    ));
    Ok(Some(part))
}

/// One place of the categories.
pub(super) fn place_row(it: PlaceLine) -> Vec<Cell> {
    vec![
        Cell::Text(it.place),
        Cell::Text(it.sources.join(" ")),
        Cell::text(it.category),
        it.below_from.map_or(Cell::None, Cell::Day),
        match it.not_known.is_empty() {
            true => Cell::None,
            false => Cell::Text(it.not_known.join(" ")),
        },
    ]
}

/// Whether receipt and transfer of it are recorded: a source, or a device that may be shielded
/// with depleted uranium.
fn is_kept(body: Option<&Equipment>) -> bool {
    body.is_some_and(|it| match it.kind {
        EquipmentType::Source => true,
        EquipmentType::Device | EquipmentType::Changer | EquipmentType::Container => {
            it.uranium_mass.is_some() || it.uranium_tube == Some(true)
        }
        _ => false,
    })
}

fn received(desk: &RecordsDesk<'_>) -> Result<Vec<Step>, AnswerError> {
    let all = desk.house.snapshot.all::<Equipment>()?.into_iter();
    let steps = all.filter_map(|it| {
        Some(Step {
            on: it.body.received_on?,
            what: "received".to_owned(),
            with: Cell::text(it.body.received_from),
            license_verified: Cell::None,
            by: Cell::text(it.body.received_by),
            item: it.record,
            paper: Cell::text(it.body.shipping_paper),
            entry: it.entry,
        })
    });
    Ok(steps.collect())
}

/// Each exchange is two steps: the source that goes in, and the one that was there before.
fn exchanged(desk: &RecordsDesk<'_>) -> Vec<Step> {
    let all = desk.house.maintenance.loadings();
    let mut steps = Vec::new();
    for (at, it) in all.iter().enumerate() {
        let (device, source) = (it.body.device.number(), it.body.source.number());
        let mut before = all.iter().take(at);
        let last = before.rfind(|it| it.body.device.number() == device);
        let left = last.map(|it| it.body.source.number());
        // What was put elsewhere since is no longer in it.
        let moved = |it: RecordId| {
            let mut since = all.iter().take(at);
            let newest = since.rfind(|other| other.body.source.number() == it);
            newest.is_some_and(|it| it.body.device.number() != device)
        };
        if let Some(left) = left.filter(|it| *it != source && !moved(*it)) {
            steps.push(step(desk, it, left, "taken out of"));
        }
        steps.push(step(desk, it, source, "put into"));
    }
    steps
}

fn step(desk: &RecordsDesk<'_>, it: &Stored<Loading>, item: RecordId, what: &str) -> Step {
    let device = desk.house.names.label(it.body.device.number());
    Step {
        on: it.body.on,
        what: format!("{what} {device}"),
        with: Cell::None,
        license_verified: Cell::None,
        by: Cell::text(Some(it.body.by.clone())),
        item,
        paper: Cell::None,
        entry: it.entry,
    }
}

fn out_of_service(desk: &RecordsDesk<'_>) -> Result<Vec<Step>, AnswerError> {
    let back = desk.house.snapshot.all::<ServiceReturn>()?;
    // What came back was not transferred: nothing is lacking.
    let came_back = |it: &Withdrawal| {
        let mut later = back.iter().filter(|other| other.body.on >= it.on);
        later.any(|other| other.body.item == it.item)
    };
    let or_none = |said: Option<String>, came_back: bool| match (said, came_back) {
        (None, true) => Cell::None,
        (said, _) => Cell::text(said),
    };
    let out = desk
        .house
        .snapshot
        .all::<Withdrawal>()?
        .into_iter()
        .map(|it| {
            let came_back = came_back(&it.body);
            let what = match it.body.transferred_to {
                Some(_) => format!("transferred: {}", it.body.reason),
                None => format!("out of service: {}", it.body.reason),
            };
            Step {
                on: it.body.on,
                what,
                license_verified: match it.body.transferred_to {
                    Some(_) => or_none(it.body.licence_verified, came_back),
                    None => Cell::None,
                },
                with: or_none(it.body.transferred_to, came_back),
                by: Cell::text(Some(it.body.by)),
                item: it.body.item.number(),
                paper: or_none(it.body.shipping_paper, came_back),
                entry: it.entry,
            }
        });
    let out: Vec<Step> = out.collect();
    let back = back.into_iter().map(|it| Step {
        on: it.body.on,
        what: format!("returned to service: {}", it.body.done),
        with: Cell::None,
        license_verified: Cell::None,
        by: Cell::text(Some(it.body.by)),
        item: it.body.item.number(),
        paper: Cell::None,
        entry: it.entry,
    });
    Ok(out.into_iter().chain(back).collect())
}

fn row(desk: &RecordsDesk<'_>, it: Step) -> Vec<Cell> {
    let [maker, model, serial] = desk.plate(Some(it.item));
    let [nuclide, activity, activity_on, uranium] = desk.material(it.item);
    vec![
        Cell::Day(it.on),
        desk.label(it.item),
        Cell::Text(it.what),
        it.with,
        it.license_verified,
        it.by,
        maker,
        model,
        serial,
        nuclide,
        activity,
        activity_on,
        uranium,
        it.paper,
        Cell::Count(it.entry),
    ]
}

/// What the register has without the day on which it came.
fn without_receipt(
    desk: &RecordsDesk<'_>,
    asked: impl Fn(RecordId) -> bool,
) -> Result<RecordsPart, AnswerError> {
    let of = ("piece", "pieces");
    let mut part = RecordsPart::new("no_receipt", "No receipt on record", of, WITHOUT);
    part.none = "Each of them has the day on which it came.".to_owned();
    for it in desk.house.snapshot.all::<Equipment>()? {
        let late = it.body.in_service.is_some_and(|from| from > desk.on);
        if it.body.received_on.is_some() || late || !asked(it.record) {
            continue;
        }
        let mut loadings = desk.house.maintenance.loadings().iter();
        let first = loadings.find(|load| load.body.source.number() == it.record);
        part.rows.push(vec![
            desk.label(it.record),
            Cell::text(Some(it.body.serial)),
            Cell::day(it.body.in_service),
            match it.body.kind {
                EquipmentType::Source => Cell::day(first.map(|it| it.body.on)),
                _ => Cell::None,
            },
            Cell::Count(it.entry),
        ]);
    }
    if !part.rows.is_empty() {
        part.notes.push(
            "Add it by a correction: wearbook entry correct ENTRY received_on=DATE \
             received_from=NAME received_by=NAME shipping_paper=NUMBER --reason WHY"
                .to_owned(),
        );
    }
    Ok(part)
}
