//! Owns handing a final list over: what the reports are made from.

use crate::checklist::{self, Coverage};
use crate::findings::Document;
use crate::lexicon::{Lexicon, Outline, VehicleClass};
use crate::report::{self, Handover, SetAside, Standing};

use super::extraction::class_of;
use super::final_list::FinalList;

impl FinalList {
    /// What the reports are made from. Once nothing is open it counts as reviewed.
    pub fn handover<'a>(&'a self, lexicon: &'a Lexicon) -> Handover<'a> {
        let document = &self.document;
        let outline = report::outline_of(document, lexicon);
        let wording = |f: &crate::findings::Finding| Some((f.id.clone(), f.review.as_ref()?.wording.clone()?));
        let lifted = self.lifted.iter().map(|l| SetAside { finding: l.finding.clone(), reason: l.reason.clone() });
        Handover {
            standing: if self.open() == 0 { Standing::Reviewed } else { Standing::NotReviewed },
            outline,
            notes: document.findings.iter().filter_map(wording).collect(),
            coverage: coverage(document, lexicon),
            set_aside: lifted.collect(),
            ..Handover::not_reviewed(document, lexicon)
        }
    }
}

/// What nobody spoke of, of the checklist that fits the vehicle.
pub fn coverage(document: &Document, lexicon: &Lexicon) -> Option<Coverage> {
    let list = match (report::outline_of(document, lexicon), class_of(document)) {
        (Outline::Trailer, _) => "trailer",
        (Outline::Truck, _) | (_, VehicleClass::Heavy) => "heavy",
        (Outline::Car | Outline::Van, VehicleClass::Light) => "light",
    };
    lexicon.guidance.checklist(list).map(|c| checklist::coverage(document, c))
}
