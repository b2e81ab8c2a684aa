//! Sheets of labels to print: each with its words and a code to scan, drawn into the page.

use maud::{Markup, PreEscaped, html};
use qrcode::{Color, EcLevel, QrCode};

use crate::answer::{Label, LabelsAnswer};
use crate::show::inline::unbroken;
use crate::show::page::document;
use crate::show::report::Report;
use crate::show::translated::{has_title, translated};
use crate::text::{Language, counted, shown};

/// A label's measures, and how many of them stand on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LabelSize {
    /// How it is named: by its measures.
    pub name: &'static str,
    paper: &'static str,
    /// In hundredths of a millimetre: width and height of a label, the margins left and top, and
    /// the steps from one label to the next.
    label: (u32, u32),
    margin: (u32, u32),
    step: (u32, u32),
    across: usize,
    down: usize,
}

/// The sizes that there are: two that label sheets are commonly cut to, and plain paper.
pub const LABEL_SIZES: &[LabelSize] = &[
    LabelSize {
        name: "2.625x1in",
        paper: "8.5in 11in",
        label: (6668, 2540),
        margin: (476, 1270),
        step: (6985, 2540),
        across: 3,
        down: 10,
    },
    LabelSize {
        name: "63.5x38.1mm",
        paper: "210mm 297mm",
        label: (6350, 3810),
        margin: (720, 1515),
        step: (6600, 3810),
        across: 3,
        down: 7,
    },
    // Fits A4 and Letter alike; lines show where to cut.
    LabelSize {
        name: "plain",
        paper: "auto",
        label: (6000, 3000),
        margin: (1200, 1200),
        step: (6200, 3200),
        across: 3,
        down: 7,
    },
];

/// The names of the sizes.
pub fn label_sizes() -> String {
    let names: Vec<&str> = LABEL_SIZES.iter().map(|it| it.name).collect();
    names.join(", ")
}

/// The size of a name.
pub fn label_size(name: &str) -> Option<&'static LabelSize> {
    LABEL_SIZES.iter().find(|it| it.name == name.trim())
}

fn mm(hundredths: u32) -> String {
    format!("{}.{:02}mm", hundredths / 100, hundredths % 100)
}

/// A code as a drawing: dark squares on white with a margin of four squares around them, as
/// ISO/IEC 18004 wants.
pub(in crate::show) fn drawn(code: &str) -> Option<String> {
    const QUIET: usize = 4;
    let code = QrCode::with_error_correction_level(code, EcLevel::M).ok()?;
    let side = code.width();
    let mut path = String::new();
    for (at, color) in code.to_colors().into_iter().enumerate() {
        if color == Color::Dark {
            let (x, y) = (at % side + QUIET, at / side + QUIET);
            path.push_str(&format!("M{x} {y}h1v1h-1z"));
        }
    }
    let whole = side + 2 * QUIET;
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {whole} {whole}\" \
         shape-rendering=\"crispEdges\" role=\"img\" aria-label=\"code to scan\"><path \
         fill=\"#fff\" d=\"M0 0h{whole}v{whole}h-{whole}z\"/><path d=\"{path}\"/></svg>"
    ))
}

fn style(size: &LabelSize) -> String {
    let (width, height) = (mm(size.label.0), mm(size.label.1));
    let line = match size.paper {
        "auto" => "outline: 0.2mm dashed #888;",
        _ => "",
    };
    format!(
        "@page {{ size: {paper}; margin: 0 }}\n\
         * {{ box-sizing: border-box }}\n\
         body {{ margin: 0; font: 3.2mm/1.2 sans-serif; color: #000; background: #fff }}\n\
         .sheet {{ position: relative; width: 100%; height: {whole}; break-after: page }}\n\
         .label {{ position: absolute; width: {width}; height: {height}; display: flex; \
         align-items: center; overflow: hidden; padding: 1mm; {line} }}\n\
         .label svg {{ flex: none; width: {code}; height: {code} }}\n\
         .label p {{ margin: 0 0 0 1mm; overflow-wrap: anywhere }}\n\
         .label b {{ display: block; font-size: 5mm }}\n\
         .label .w {{ white-space: nowrap }}\n\
         .note {{ padding: 4mm }}\n\
         @media print {{ .note {{ display: none }} }}\n",
        paper = size.paper,
        whole = mm(size.margin.1 + size.step.1 * u32::try_from(size.down).unwrap_or(1)),
        code = mm(size.label.1 - 300),
    )
}

/// Labels as one page to print, without margins of the browser's own.
#[must_use]
pub fn labels_page(
    it: &LabelsAnswer,
    size: &LabelSize,
    (of_badges, language): (bool, Language),
) -> String {
    let head = html! { style { (PreEscaped(style(size))) } };
    let sheets = it.labels.chunks(size.across * size.down);
    let body = html! {
        p.note {
            "Print at 100 %, without margins. "
            @if of_badges {
                "For the rack or the back of a holder: never over a filter or a window of a badge."
            } @else {
                "Never over a maker's plate, a warning or a lock."
            }
        }
        @for sheet in sheets {
            div.sheet {
                @for (at, label) in sheet.iter().enumerate() { (one(label, place(size, at))) }
            }
            "\n"
        }
    };
    translated(language, document(TITLE, &head, &body).into_string())
}

const TITLE: &str = "Labels";

/// Whether a file is a page of labels: another one may take its place.
pub fn is_labels_page(path: &std::path::Path) -> bool {
    has_title(path, TITLE)
}

/// Where a label stands on its sheet.
fn place(size: &LabelSize, at: usize) -> String {
    let step = |it: usize| u32::try_from(it).unwrap_or(0);
    let (column, row) = (step(at % size.across), step(at / size.across));
    let left = mm(size.margin.0 + size.step.0 * column);
    let top = mm(size.margin.1 + size.step.1 * row);
    format!("left:{left};top:{top}")
}

fn one(label: &Label, place: String) -> Markup {
    let seen = |text: &str| -> String { shown(text).into() };
    html! {
        div.label style=(place) {
            @if let Some(svg) = drawn(&label.code) { (PreEscaped(svg)) }
            p {
                b translate="no" { (unbroken(&seen(&label.id))) }
                (unbroken(&seen(&label.kind)))
                @if let Some(serial) = &label.serial {
                    br; "serial " span translate="no" { (unbroken(&seen(serial))) }
                }
                @if let Some(checked) = &label.checked { br; (unbroken(&seen(checked))) }
                @if let Some(due) = label.due { br; span.w { "due " (due) } }
            }
        }
    }
}

/// What was made, and what has no label.
pub fn labels_report(it: &LabelsAnswer, to: &str) -> Report {
    let count = counted(it.labels.len(), "label", "labels");
    let mut report = Report::new(format!("{count} in {to}"));
    for why in &it.without {
        report.line(format!("no label for {why}"));
    }
    report.line("Print it at 100 %, without margins, and scan one before you print them all.");
    report
}
