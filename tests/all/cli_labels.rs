//! Labels with a code to scan, printed and read back by another library than the one that drew it.

use std::fs;

use super::cli_maintenance_shown::kept;
use super::cli_support::Place;
use super::page_spanish::{is_data, own_texts};

/// What a phone reads off every label of a page: each drawing as pixels, decoded by `rqrr`.
pub fn scanned(page: &str) -> Vec<String> {
    let drawings = page.split("<svg").skip(1).map(|it| {
        let svg = it.split("</svg>").next().expect("its end");
        format!("<svg{svg}</svg>")
    });
    drawings.map(|it| read(&it)).collect()
}

/// A drawing as a rasteriser of SVG shows it, and what is read off that.
fn read(svg: &str) -> String {
    let pixels = pixels(svg);
    let side = usize::try_from(SIDE).expect("a size");
    let shade = |x: usize, y: usize| pixels.data()[(y * side + x) * 4];
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(side, side, shade);
    let grids = image.detect_grids();
    assert_eq!(grids.len(), 1, "one code a label");
    grids[0].decode().expect("a code that can be read").1
}

/// How large a drawing is photographed, in pixels.
const SIDE: u32 = 240;

/// The first drawing of a page as a photo of it.
pub fn photographed(page: &str) -> Vec<u8> {
    let svg = page.split("<svg").nth(1).expect("a drawing");
    let svg = svg.split("</svg>").next().expect("its end");
    let pixels = pixels(&format!("<svg{svg}</svg>"));
    pixels.encode_png().expect("a picture")
}

fn pixels(svg: &str) -> resvg::tiny_skia::Pixmap {
    let tree = resvg::usvg::Tree::from_str(svg, &resvg::usvg::Options::default()).expect("SVG");
    let mut pixels = resvg::tiny_skia::Pixmap::new(SIDE, SIDE).expect("room");
    let scale = SIDE as f32 / tree.size().width();
    let transform = resvg::tiny_skia::Transform::from_scale(scale, scale);
    resvg::render(&tree, transform, &mut pixels.as_mut());
    pixels
}

fn page(place: &Place, line: &str) -> String {
    place.done(&format!("{line} --out DIR/labels.html"));
    fs::read_to_string(place.path("labels.html")).expect("the page")
}

#[test]
fn a_label_is_read_back_as_ledger_and_item_and_holds_nothing_private() {
    let place = kept("labels-read");
    let made = page(&place, "equipment labels");
    let ledger = place.done("ledger export DIR/export");
    assert_eq!(ledger.code, 0);
    let charter = fs::read_to_string(place.path("export/charter.csv")).expect("the charter");
    let id = charter.lines().nth(1).and_then(|it| it.split(',').nth(2));
    let id = id.expect("the ledger's id");
    let read = scanned(&made);
    for item in ["D-1", "S-1", "C-1", "G-1", "G-2"] {
        assert!(
            read.contains(&format!("wearbook:{id}:item:{item}")),
            "{item}: {read:?}"
        );
    }
    for secret in ["Hollow", "W07", "license", "due ", "http"] {
        let words = made.replace("http://www.w3.org/2000/svg", "");
        assert!(!words.contains(secret), "{secret}");
    }
    // With a host a code is an address.
    let made = page(
        &place,
        "equipment labels D-1 --base https://office.example:8443",
    );
    let read = scanned(&made);
    assert_eq!(
        read,
        [format!("https://office.example:8443/item/D-1?of={id}")]
    );
}

#[test]
fn days_stand_on_stickers_alone_and_none_is_made_for_what_is_out_of_time() {
    let mut place = kept("labels-stickers");
    let made = page(&place, "instrument labels");
    assert!(!made.contains("due ") && made.contains("SM-1"), "{made}");
    let made = page(&place, "instrument labels SM-1 --stickers --on 2026-06-15");
    // Each on one line: a browser would break a day at its hyphens.
    for day in [
        "calibration <span class=\"w\">2026-",
        "<span class=\"w\">due 2026-",
    ] {
        assert!(made.contains(day), "{day}: {made}");
    }
    assert_eq!(scanned(&made).len(), 1);
    let said = place.refused("instrument labels SM-1 --stickers --on 2030-06-15 --out DIR/x.html");
    assert!(said.err.contains("no label was made: SM-1"), "{}", said.err);
    assert!(!place.path("x.html").exists());
}

#[test]
fn a_badge_has_a_label_without_its_wearer() {
    let place = kept("labels-badges");
    place.done(
        "badge issue --badge 0417 --type \"whole body\" --worker W07 --first-day 2026-06-01 \
         --last-day 2026-06-30",
    );
    let made = page(&place, "badge labels --size 63.5x38.1mm");
    assert!(
        made.contains("0417") && made.contains("never over a filter"),
        "{made}"
    );
    assert!(!made.contains("W07"), "{made}");
    assert!(scanned(&made)[0].ends_with(":badge:0417"));
}

#[test]
fn labels_stand_apart_on_their_sheet_and_a_wrong_size_or_base_names_the_right_one() {
    let mut place = kept("labels-sizes");
    for size in ["2.625x1in", "63.5x38.1mm", "plain"] {
        let made = page(&place, &format!("instrument labels --size {size}"));
        let places: Vec<&str> = made.split("style=\"left:").skip(1).collect();
        let mut seen: Vec<&str> = places
            .iter()
            .filter_map(|it| it.split('"').next())
            .collect();
        let count = seen.len();
        seen.sort_unstable();
        seen.dedup();
        assert_eq!((seen.len(), count > 4), (count, true), "{size}");
    }
    for line in ["--size a4", "--base office", "--base https://a/?x=1"] {
        place.refused(&format!("equipment labels {line} --out DIR/x.html"));
    }
    place.golden("labels-refused");
}

#[test]
fn labels_have_their_words_in_spanish_and_the_same_codes() {
    let place = kept("labels-spanish");
    for line in [
        "equipment labels",
        "instrument labels",
        "instrument labels --stickers",
    ] {
        let english = page(&place, line);
        let spanish = page(&place, &format!("{line} --language es"));
        assert_eq!(scanned(&english), scanned(&spanish), "{line}");
        let (en, es) = (own_texts(&english), own_texts(&spanish));
        assert_eq!(en.len(), es.len(), "{line}");
        let left: Vec<&String> = es
            .iter()
            .filter(|it| en.contains(it) && !is_data(it))
            .collect();
        assert_eq!(left, [""; 0], "{line}");
    }
}
