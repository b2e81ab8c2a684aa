//! Scanning in the middle of a form: the way to it beside the fields, and what a scan said there.

use maud::{Markup, html};

/// What a scan for a part of a form said.
#[derive(Debug)]
pub struct Scanned {
    /// The part.
    pub part: String,
    /// Whether something was chosen.
    pub chosen: bool,
    /// What is said of it.
    pub words: Markup,
}

/// Where a label is scanned for a part of a form. Without the script a photo is chosen and sent
/// with everything that was typed; with it one button opens the camera.
pub fn scan(form: &str, part: &str, said: Option<&Scanned>) -> Markup {
    let place = format!("scan-{part}");
    let photo = photo_of(part);
    html! {
        div.field.scan.wrong[said.is_some_and(|it| !it.chosen)] id=(place) {
            label for=(photo) {
                "Scan a label"
                span.hint { "a photo of its code, which is read and not kept" }
            }
            @if let Some(said) = said {
                span.scanned.fault[!said.chosen] role="status" { (said.words) }
            }
            input type="file" id=(photo) name=(photo) accept="image/jpeg,image/png"
                capture="environment";
            button name="scan" value={ (form) " " (part) } formaction={ "/scan#" (place) }
                formmethod="post" formenctype="multipart/form-data" formnovalidate {
                "Read the code"
            }
        }
    }
}

/// The field of the photo of a part.
pub fn photo_of(part: &str) -> String {
    format!("photo.{part}")
}
