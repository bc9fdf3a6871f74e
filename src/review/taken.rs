//! Owns when a photo was taken: both it and the recording carry the time of day in their names, as phones and recorders write it.

use jiff::civil::DateTime;

/// Photos taken longer than this after the start of a recording belong to another one.
const LONGEST_MS: i64 = 4 * 3600 * 1000;

/// Milliseconds from the start of the recording, where both names tell when.
pub fn taken_at(photo: &str, recording: &str) -> Option<u64> {
    let (taken, started) = (stamp(photo)?, stamp(recording)?);
    let ms = taken.duration_since(started).as_millis() as i64;
    (0..=LONGEST_MS).contains(&ms).then_some(ms as u64)
}

/// "20260302_101533", "2026-03-02 10.15.33": year to second, digits in this order, whatever stands between.
fn stamp(path: &str) -> Option<DateTime> {
    let name = path.rsplit('/').next().unwrap_or(path);
    let digits: String = name.chars().filter(char::is_ascii_digit).take(14).collect();
    let part = |from: usize, to: usize| digits.get(from..to)?.parse::<i16>().ok();
    let small = |from: usize| part(from, from + 2)?.try_into().ok();
    DateTime::new(
        part(0, 4).filter(|y| (1990..2200).contains(y))?,
        small(4)?,
        small(6)?,
        small(8)?,
        small(10)?,
        small(12)?,
        0,
    )
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
            assert_eq!(taken_at(photo, recording), at, "{photo}");
        }
    }
}
