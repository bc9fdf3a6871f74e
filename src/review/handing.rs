//! Owns handing a final list over: what the reports are made from.

use crate::checklist;
use crate::lexicon::{Lexicon, Outline, VehicleClass};
use crate::report::{self, Handover, SetAside, Standing};

use super::extraction::class_of;
use super::final_list::FinalList;

impl FinalList {
    /// What the reports are made from. Once nothing is open it counts as reviewed.
    pub fn handover<'a>(&'a self, lexicon: &'a Lexicon) -> Handover<'a> {
        let document = &self.document;
        let outline = report::outline_of(document, lexicon);
        let list = match (outline, class_of(document)) {
            (Outline::Trailer, _) => "trailer",
            (Outline::Truck, _) | (_, VehicleClass::Heavy) => "heavy",
            (Outline::Car | Outline::Van, VehicleClass::Light) => "light",
        };
        let wording = |f: &crate::findings::Finding| Some((f.id.clone(), f.review.as_ref()?.wording.clone()?));
        let lifted = self.lifted.iter().map(|l| SetAside { finding: l.finding.clone(), reason: l.reason.clone() });
        Handover {
            standing: if self.open() == 0 { Standing::Reviewed } else { Standing::NotReviewed },
            outline,
            notes: document.findings.iter().filter_map(wording).collect(),
            coverage: lexicon.guidance.checklist(list).map(|c| checklist::coverage(document, c)),
            set_aside: lifted.collect(),
            ..Handover::not_reviewed(document, lexicon)
        }
    }
}
