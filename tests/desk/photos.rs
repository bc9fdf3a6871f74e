//! Photos stand at the time they were taken: as the camera wrote it into them, else as their names say.

use std::fs;

use super::{Checked, Server};

const WALK: &str = concat!(
    "WEBVTT\n\n00:10.000 --> 00:12.000\nunit 14, left front brake hose is cracked\n\n",
    "01:00.000 --> 01:03.000\nbattery is good\n\n02:00.000 --> 02:04.000\nhorn works\n"
);

/// A JPEG that holds nothing but the time it was taken at: Exif 2.32 (CIPA DC-008), section 4.5 (the marker segment), 4.6.2 (TIFF, here
/// "II", little endian), 4.6.5 (tag 0x9003, DateTimeOriginal, 20 letters in the Exif IFD that tag 0x8769 points to).
fn jpeg(taken: &str) -> Vec<u8> {
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &count.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    let directory = |entry: Vec<u8>| [&1u16.to_le_bytes()[..], &entry, &0u32.to_le_bytes()].concat();
    // the head takes 8 bytes, each directory 18
    let tiff = [
        b"II*\0".to_vec(),
        8u32.to_le_bytes().to_vec(),
        directory(entry(0x8769, 4, 1, 26)),
        directory(entry(0x9003, 2, taken.len() as u32 + 1, 44)),
        taken.as_bytes().to_vec(),
        vec![0],
    ]
    .concat();
    let length = (tiff.len() as u16 + 8).to_be_bytes();
    [&[0xff, 0xd8, 0xff, 0xe1][..], &length, b"Exif\0\0", &tiff, &[0xff, 0xd9]].concat()
}

#[test]
fn photos_stand_where_they_were_taken() -> Checked {
    let dir = tempfile::tempdir()?;
    let folder = dir.path().join("2026-03-02 unit 14");
    fs::create_dir_all(folder.join("photos"))?;
    fs::write(folder.join("walk.vtt"), WALK)?;
    fs::write(folder.join("20260302_101500.wav"), b"RIFF")?;
    let cut = jpeg("2026:03:02 10:15:20");
    let photos: [(&str, Vec<u8>); 6] = [
        ("IMG_0042.jpg", jpeg("2026:03:02 10:16:10")),
        // what the camera wrote goes before the name that somebody gave
        ("20260302_101701.jpg", jpeg("2026:03:02 10:15:30")),
        // a clock that was never set, and pictures that are none: their names tell
        ("20260302_101702.jpg", jpeg("0000:00:00 00:00:00")),
        ("20260302_101703.png", b"no picture".to_vec()),
        ("20260302_101704.jpg", cut[..40].to_vec()),
        ("yesterday.jpg", jpeg("2026:03:01 18:02:03")),
    ];
    for (name, bytes) in &photos {
        fs::write(folder.join("photos").join(name), bytes)?;
    }
    let page = Server::open(dir.path(), &[])?.get("/inspection/2026-03-02%20unit%2014")?.text();
    let at = |text: &str| page.find(text).ok_or_else(|| format!("{text} is not on the page: {page}"));
    let caption = |time: &str, name: &str| format!("<figcaption>{time} photos/{name}</figcaption>");
    let order = [
        at("<time datetime=\"2026-03-01T18:02:03\">2026-03-01 18:02</time> photos/yesterday.jpg")?,
        at("id=\"line-1\"")?,
        at(&caption("0:30", "20260302_101701.jpg"))?,
        at("id=\"line-2\"")?,
        at(&caption("1:10", "IMG_0042.jpg"))?,
        at("id=\"line-3\"")?,
        at(&caption("2:02", "20260302_101702.jpg"))?,
        at(&caption("2:03", "20260302_101703.png"))?,
        at(&caption("2:04", "20260302_101704.jpg"))?,
    ];
    assert!(order.is_sorted(), "{order:?} {page}");
    Ok(())
}

/// Without a recording, the name of the dictation may tell when it was begun.
#[test]
fn a_dictation_can_tell_when_it_was_begun() -> Checked {
    let dir = tempfile::tempdir()?;
    let folder = dir.path().join("unit-14");
    fs::create_dir(&folder)?;
    fs::write(folder.join("2026-03-02 10.15.00.vtt"), WALK)?;
    fs::write(folder.join("a.jpg"), jpeg("2026:03:02 10:16:10"))?;
    let page = Server::open(dir.path(), &[])?.get("/inspection/unit-14")?.text();
    assert!(page.contains("<figcaption>1:10 a.jpg</figcaption>"), "{page}");
    Ok(())
}
