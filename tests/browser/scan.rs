//! Labels that are scanned into a form: by a photo, and live where the browser reads codes.

use image::{DynamicImage, ImageFormat};

use super::access::hold;
use super::crew::LEAD;
use super::driver::{Browser, PHONE};
use super::served::Served;

/// The label of an item as a photo of 640 by 480, and what its code says.
fn label(served: &Served, id: &str) -> (DynamicImage, String) {
    let page = served.printed(&["equipment", "labels", id]);
    let svg = page
        .split("<svg")
        .nth(1)
        .and_then(|it| it.split("</svg>").next());
    let svg = format!("<svg{}</svg>", svg.expect("a drawing"));
    let tree = resvg::usvg::Tree::from_str(&svg, &resvg::usvg::Options::default()).expect("SVG");
    let mut pixels = resvg::tiny_skia::Pixmap::new(640, 480).expect("room");
    pixels.fill(resvg::tiny_skia::Color::WHITE);
    let scale = 400.0 / tree.size().width();
    let place = resvg::tiny_skia::Transform::from_scale(scale, scale).post_translate(120.0, 40.0);
    resvg::render(&tree, place, &mut pixels.as_mut());
    let png = pixels.encode_png().expect("a picture");
    let photo = image::load_from_memory(&png).expect("a picture");
    let grey = photo.to_luma8();
    let at = |it: usize| u32::try_from(it).expect("a place");
    let shade = |x: usize, y: usize| grey.get_pixel(at(x), at(y)).0[0];
    let mut read = rqrr::PreparedImage::prepare_from_greyscale(640, 480, shade);
    let grids = read.detect_grids();
    let (_, code) = grids.first().expect("a code").decode().expect("a code");
    (photo, code)
}

fn jpeg(photo: &DynamicImage) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let photo = photo.to_rgb8();
    photo
        .write_to(&mut bytes, ImageFormat::Jpeg)
        .expect("a picture");
    bytes.into_inner()
}

/// A sheet of which something is typed.
fn begun(browser: &Browser) {
    browser.tap("End of shift");
    browser.read_off("r1.end", "12");
    browser.tap_in(".scan", "Scan a label");
}

#[test]
fn a_label_is_scanned_by_a_photo_and_what_was_typed_stays() {
    let served = Served::start("scan");
    let (photo, _) = label(&served, "GT-31");
    let photo = served.file("IMG_1.jpg", jpeg(&photo));
    let browser = served.signed_in(PHONE, LEAD);
    let before = served.entries();
    // This browser reads no codes: the button asks for a photo.
    begun(&browser);
    browser.attach("photo.set", &photo);
    browser.see("GT-31 is added.");
    assert!(browser.value("guide_tubes").ends_with(" GT-31"));
    assert_eq!(browser.value("r1.end"), "12");
    assert!(
        !browser.said().contains("Take up what was typed"),
        "{}",
        browser.said()
    );
    hold(&browser, "a label that was scanned");
    // Of a kind that does not go there: one sentence, and nothing changes.
    browser.script(
        "document.querySelector('#scan-r1').closest('details').open = true",
        &[],
    );
    browser.attach("photo.r1", &photo);
    browser.see("Nothing is chosen: GT-31 (guide tube) does not go here.");
    assert_eq!(browser.value("r1.end"), "12");
    hold(&browser, "a label that does not go there");
    browser.open(&served.at("/check?set=CU-02"));
    browser.tap("now");
    let at = browser.value("at");
    browser.choose("i1.1.result", "good");
    browser.attach("photo.set", &photo);
    browser.see("GT-31 is added.");
    assert_eq!(browser.value("at"), at);
    let good = "return document.querySelector('[name=\"i1.1.result\"]:checked')?.value";
    assert_eq!(browser.script(good, &[]), "good");
    assert_eq!(served.entries(), before, "nothing is written");
}

/// What stands for a browser that reads codes: it looks at what the camera shows, which is a label
/// on white, and gives what was read off it before.
const READS_CODES: &str = "
    globalThis.BarcodeDetector = class {
        static async getSupportedFormats() { return ['qr_code']; }
        async detect(video) {
            const size = { width: video.videoWidth, height: video.videoHeight };
            const canvas = Object.assign(document.createElement('canvas'), size);
            const drawn = canvas.getContext('2d');
            drawn.drawImage(video, 0, 0);
            const all = drawn.getImageData(0, 0, size.width, size.height).data;
            let [dark, white] = [0, 0];
            for (let at = 0; at < all.length; at += 4) {
                if (all[at] < 60) dark += 1;
                if (all[at] > 200) white += 1;
            }
            const of = size.width * size.height;
            const is_label = dark > of / 20 && white > of / 2 && dark + white > of * 0.9;
            const other = { rawValue: 'https://maker.example/manual' };
            return is_label ? [other, { rawValue: arguments[0] }] : [];
        }
    };";

#[test]
fn a_label_is_scanned_live_where_the_browser_reads_codes() {
    let served = Served::start("scan live");
    let (photo, code) = label(&served, "GT-31");
    let frames = jpeg(&photo).repeat(4);
    let film = served.file("film.mjpeg", frames);
    let flags = [
        "--use-fake-ui-for-media-stream".to_owned(),
        "--use-fake-device-for-media-stream".to_owned(),
        format!("--use-file-for-fake-video-capture={}", film.display()),
    ];
    let browser = Browser::with(PHONE, &flags);
    served.sign_in_again(&browser, LEAD);
    let reads = READS_CODES.replace("arguments[0]", &format!("'{code}'"));
    browser.tap("End of shift");
    browser.read_off("r1.end", "12");
    browser.script(&reads, &[]);
    browser.tap_in(".scan", "Scan a label");
    browser.see("GT-31 is added.");
    assert_eq!(browser.value("r1.end"), "12");
    // Without a camera there is another way, in words.
    browser.script(&reads.replace("is_label ?", "false ?"), &[]);
    browser.tap_in(".scan", "Scan a label");
    browser.see("Hold the camera over the label.");
    hold(&browser, "a camera that looks");
    browser.tap("Close");
    browser.script(
        "navigator.mediaDevices.getUserMedia = () => Promise.reject(new Error('none'))",
        &[],
    );
    browser.tap_in(".scan", "Scan a label");
    browser.see("take a photo, or type the id.");
    browser.tap("Close");
    assert_eq!(browser.value("r1.end"), "12");
}
