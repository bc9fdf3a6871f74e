//! Owns one walk round the vehicle: what is to be done, by where one stands to do it.

use std::collections::BTreeMap;

use crate::findings::{Document, Finding};
use crate::lexicon::Guidance;

use super::super::place::{Place, Station};
use super::super::sheet::{self, Group};

/// One piece of work at one station.
#[derive(Debug, Clone)]
pub struct Job<'d> {
    pub number: usize,
    pub group: Group,
    pub finding: &'d Finding,
    /// The other stations that the same finding brings one to.
    pub also_at: Vec<Station>,
    /// Whether the walk comes to the finding here for the first time: its words are quoted once.
    pub first: bool,
}

/// The stations with something to do, in the order of the walk; at each, what is most pressing first.
pub fn rounds<'d>(document: &'d Document, guidance: &Guidance) -> Vec<(Station, Vec<Job<'d>>)> {
    let mut stations: BTreeMap<Station, Vec<Job<'d>>> = BTreeMap::new();
    for (group, found) in sheet::grouped(document) {
        if group > Group::Unchecked {
            continue;
        }
        for (number, finding) in found {
            let mut at: Vec<Station> = Place::of(finding, guidance).into_iter().map(Place::station).collect();
            at.sort_unstable();
            at.dedup();
            for station in &at {
                let also_at = at.iter().copied().filter(|s| s != station).collect();
                let first = at.first() == Some(station);
                stations.entry(*station).or_default().push(Job { number, group, finding, also_at, first });
            }
        }
    }
    stations.into_iter().collect()
}
