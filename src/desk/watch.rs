//! Owns looking after the folder: what is new or changed is read before anybody asks, and pages are told that something changed.

use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use super::state::Desk;

/// How often it is looked at.
const EVERY: Duration = Duration::from_millis(1000);

/// Looks after the folder of a desk until the process ends.
pub fn start(desk: Arc<Desk>) {
    std::thread::spawn(move || {
        let mut seen = 0;
        loop {
            let now = look(&desk);
            if now != seen {
                seen = now;
                desk.version.fetch_add(1, Ordering::Relaxed);
            }
            std::thread::sleep(EVERY);
        }
    });
}

/// Reads what is not known yet. Gives what tells this state of the folder from others.
fn look(desk: &Desk) -> u64 {
    let mut hash = DefaultHasher::new();
    let Ok(listing) = desk.listing() else { return 0 };
    listing.problems.hash(&mut hash);
    for inspection in &listing.inspections {
        (&inspection.name, inspection.stamp).hash(&mut hash);
        // what can't be read is told on the page, and is no news each time it is tried again
        if desk.known(inspection).is_none() && desk.summary(inspection).is_ok() {
            desk.version.fetch_add(1, Ordering::Relaxed);
        }
    }
    hash.finish()
}
