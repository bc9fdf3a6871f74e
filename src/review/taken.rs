//! Owns when a photo was taken: as the camera wrote it into the picture, else as its name says, the way phones and recorders write
//! it. When a recording or dictation was begun, its name says.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use jiff::civil::DateTime;

/// Photos taken longer than this after the start of a recording belong to another one.
const LONGEST_MS: i64 = 4 * 3600 * 1000;

/// When a photo was taken, by the camera's clock; `None` where neither the picture nor its name tells.
pub fn taken_at(photo: &Path) -> Option<DateTime> {
    written(photo).or_else(|| stamp(photo.file_name()?.to_str()?))
}

/// When a recording or dictation was begun, where its name tells.
pub fn begun_at(name: &str) -> Option<DateTime> {
    stamp(name.rsplit('/').next().unwrap_or(name))
}

/// Milliseconds from the start of a recording to the moment a photo was taken; `None` where it can't have been taken during it.
pub fn moment(taken: DateTime, begun: DateTime) -> Option<u64> {
    let ms = taken.duration_since(begun).as_millis() as i64;
    (0..=LONGEST_MS).contains(&ms).then_some(ms as u64)
}

/// What the camera wrote into the picture (Exif 2.32, DateTimeOriginal, else DateTimeDigitized). Both are times of day where the
/// camera was, as the names of recordings are.
fn written(photo: &Path) -> Option<DateTime> {
    let held = exif::Reader::new().read_from_container(&mut BufReader::new(File::open(photo).ok()?)).ok()?;
    [exif::Tag::DateTimeOriginal, exif::Tag::DateTimeDigitized].into_iter().find_map(|tag| {
        let exif::Value::Ascii(texts) = &held.get_field(tag, exif::In::PRIMARY)?.value else { return None };
        let t = exif::DateTime::from_ascii(texts.first()?).ok()?;
        // a clock that was never set writes zeros
        let small = |n: u8| i8::try_from(n).ok();
        let year = i16::try_from(t.year).ok().filter(|y| YEARS.contains(y))?;
        let (day, time) = ((small(t.month)?, small(t.day)?), (small(t.hour)?, small(t.minute)?, small(t.second)?));
        DateTime::new(year, day.0, day.1, time.0, time.1, time.2, 0).ok()
    })
}

/// Years that a name or a camera can mean.
const YEARS: std::ops::Range<i16> = 1990..2200;

/// "20260302_101533", "2026-03-02 10.15.33": year to second, digits in this order, whatever stands between.
fn stamp(name: &str) -> Option<DateTime> {
    let digits: String = name.chars().filter(char::is_ascii_digit).take(14).collect();
    let part = |from: usize, to: usize| digits.get(from..to)?.parse::<i16>().ok();
    let small = |from: usize| part(from, from + 2)?.try_into().ok();
    DateTime::new(part(0, 4).filter(|y| YEARS.contains(y))?, small(4)?, small(6)?, small(8)?, small(10)?, small(12)?, 0)
        .ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_tell_when() {
        let table = [
            ("IMG_20260302_101533.jpg", "20260302_101500.m4a", Some(33_000)),
            ("photos/2026-03-02 10.16.00.jpg", "Recording 2026-03-02 10-15-00.wav", Some(60_000)),
            ("IMG_20260302_101459.jpg", "20260302_101500.m4a", None),
            ("IMG_20260303_101500.jpg", "20260302_101500.m4a", None),
            ("IMG_0042.jpg", "20260302_101500.m4a", None),
            ("IMG_20261302_101533.jpg", "20260302_101500.m4a", None),
            ("tyre.jpg", "walk.wav", None),
        ];
        for (photo, recording, at) in table {
            let found = taken_at(Path::new(photo)).zip(begun_at(recording)).and_then(|(t, b)| moment(t, b));
            assert_eq!(found, at, "{photo}");
        }
    }
}
