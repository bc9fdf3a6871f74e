//! Owns the checking of rate books: files in, either a book in which everything holds or every problem with its place.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::ops::Range;
use std::sync::Arc;

use rust_decimal::Decimal;

use crate::diagnostic::{SourceFile, Spot, meant};
use crate::lexicon::ActionId;

use super::book::{Base, Cover, HoursAt, Job, Labour, Operation, PartChoice, PartLine, RateBook, Supplies, Tax, Work};
use super::book_file::{
    self, BookFault, BookFile, BookProblem, CORRECT, ChoiceParts, Chosen, CoverEntry, HoursAtEntry, JobEntry, Number,
    OneOf, OperationEntry, PartEntry, Word,
};
use super::money::Amount;
use super::site::Per;
use super::{cycles, figure};

/// The currency's smallest unit has no more places than this: the dinars of ISO 4217 have three.
const MOST_DIGITS: i64 = 4;

impl RateBook {
    /// Reads a book from its files. `parts` are the part ids of the lexicon.
    ///
    /// # Errors
    /// Every problem found, in the order of the files.
    pub fn read<'p>(
        files: &[Arc<SourceFile>],
        parts: impl IntoIterator<Item = &'p str>,
    ) -> Result<RateBook, Vec<BookProblem>> {
        let mut problems = Vec::new();
        let mut parsed = Vec::new();
        for file in files {
            match book_file::parse(file) {
                Ok(entries) => parsed.push((file, entries)),
                Err(problem) => problems.push(*problem),
            }
        }
        // half a book would bring out missing references by the dozen
        if !problems.is_empty() {
            return Err(problems);
        }
        let mut checker = Checker { problems, parts: parts.into_iter().collect(), ..Checker::default() };
        let book = checker.book(&parsed, files);
        let file_order = |p: &BookProblem| files.iter().position(|f| *f == p.at.file);
        checker.problems.sort_by_key(|p| (file_order(p), p.at.span.start));
        checker.problems.dedup();
        if checker.problems.is_empty() { Ok(book) } else { Err(checker.problems) }
    }
}

/// A file while it is checked.
type Place<'t> = &'t Arc<SourceFile>;

#[derive(Default)]
struct Checker<'p> {
    problems: Vec<BookProblem>,
    parts: BTreeSet<&'p str>,
    labour: HashMap<String, usize>,
    operations: HashMap<String, usize>,
    choices: HashSet<String>,
}

impl Checker<'_> {
    fn bad(
        &mut self,
        fault: BookFault,
        at: Place,
        span: Range<usize>,
        what: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.problems.push(BookProblem::new(fault, Spot::new(at, span, ""), what, help));
    }

    fn senseless(&mut self, at: Place, span: Range<usize>, what: impl Into<String>, help: &str) {
        self.bad(BookFault::Senseless, at, span, what, help);
    }

    fn book(&mut self, parsed: &[(Place, BookFile)], files: &[Arc<SourceFile>]) -> RateBook {
        let mut book = self.head(parsed, files);
        for (at, file) in parsed {
            for entry in &file.labour {
                let rate = self.number(at, &entry.rate, "the rate");
                if self.labour.insert(entry.id.get_ref().clone(), book.labour.len()).is_some() {
                    self.twice(at, &entry.id, "labour");
                }
                let id = entry.id.get_ref().clone();
                book.labour.push(Labour { name: entry.name.clone().unwrap_or_else(|| id.clone()), id, rate });
            }
            for entry in &file.tax {
                if entry.on.get_ref().is_empty() {
                    self.senseless(at, entry.on.span(), "a tax on nothing", "name labour, parts or supplies");
                }
                let percent = self.number(at, &entry.percent, "the percentage");
                book.taxes.push(Tax {
                    name: entry.name.get_ref().clone(),
                    percent,
                    on: self.all(at, entry.on.get_ref()),
                });
            }
        }
        if book.labour.is_empty() && !parsed.is_empty() {
            self.bad(
                BookFault::Missing,
                parsed[0].0,
                0..0,
                "no kind of labour is given",
                "add [[labour]] with id and rate",
            );
        }
        let entries: Vec<(Place, &OperationEntry)> =
            parsed.iter().flat_map(|(at, file)| file.operation.iter().map(|entry| (*at, entry))).collect();
        // each may need one that stands behind it
        for (n, (at, entry)) in entries.iter().enumerate() {
            if self.operations.insert(entry.id.get_ref().clone(), n).is_some() {
                self.twice(at, &entry.id, "operation");
            }
        }
        book.operations = entries.iter().map(|(at, entry)| self.operation(at, entry)).collect();
        self.cycles(&book.operations, &entries);
        let mut jobs: HashSet<&str> = HashSet::new();
        for (at, file) in parsed {
            for entry in &file.job {
                if !jobs.insert(entry.id.get_ref()) {
                    self.twice(at, &entry.id, "job");
                }
                let job = self.job(at, entry);
                book.jobs.push(job);
            }
        }
        book
    }

    /// What is said once for the whole book.
    fn head(&mut self, parsed: &[(Place, BookFile)], files: &[Arc<SourceFile>]) -> RateBook {
        let mut book = RateBook { digits: 2, ..RateBook::default() };
        for (at, file) in parsed {
            if let Some(code) = &file.currency {
                let ok = code.get_ref().len() == 3 && code.get_ref().bytes().all(|b| b.is_ascii_uppercase());
                if !ok {
                    let what = format!("\"{}\" is no currency code", code.get_ref());
                    self.senseless(at, code.span(), what, "write the three capitals of ISO 4217, such as USD");
                }
                if !book.currency.is_empty() && book.currency != *code.get_ref() {
                    let what = format!("a second currency, {}, beside {}", code.get_ref(), book.currency);
                    self.bad(BookFault::TwoCurrencies, at, code.span(), what, "keep one rate book for each currency");
                }
                book.currency.clone_from(code.get_ref());
            }
            if let Some(digits) = &file.digits {
                match digits.get_ref().as_integer() {
                    Some(n) if (0..=MOST_DIGITS).contains(&n) => book.digits = u32::try_from(n).unwrap_or(2),
                    _ => {
                        self.senseless(at, digits.span(), "digits must be 0 to 4", "write how many places a price has")
                    }
                }
            }
            if let Some(round) = &file.round {
                book.rounding = self.one(at, round).unwrap_or_default();
            }
            if let Some(name) = &file.name {
                book.name.clone_from(name.get_ref());
            }
            if let Some(note) = &file.note {
                book.note = Some(note.get_ref().clone());
            }
            if let Some(supplies) = &file.supplies {
                if book.supplies.is_some() {
                    self.bad(
                        BookFault::Twice,
                        at,
                        supplies.span(),
                        "a second rule for supplies",
                        "keep one [supplies]",
                    );
                }
                let s = supplies.get_ref();
                let of = self.all(at, s.of.get_ref());
                if of.contains(&Base::Supplies) || s.of.get_ref().is_empty() {
                    self.senseless(
                        at,
                        s.of.span(),
                        "supplies are reckoned on labour, parts or both",
                        "name these alone",
                    );
                }
                let percent = self.number(at, &s.percent, "the percentage");
                let cap = s.cap.as_ref().map(|c| self.number(at, c, "the cap"));
                book.supplies = Some(Supplies { percent, of, cap });
            }
        }
        if book.currency.is_empty() {
            let empty = SourceFile::new("", "");
            let first = files.first().unwrap_or(&empty);
            self.bad(BookFault::Missing, first, 0..0, "no currency is given", "add currency = \"USD\" or another");
        }
        book
    }

    fn operation(&mut self, at: Place, entry: &OperationEntry) -> Operation {
        let per = entry.per.as_ref().and_then(|per| self.one(at, per)).unwrap_or_default();
        let hours = self.number(at, &entry.hours, "the hours");
        Operation {
            id: entry.id.get_ref().clone(),
            name: entry.name.clone(),
            work: Work {
                hours,
                hours_at: self.hours_at(at, &entry.hours_at, per),
                labour: self.kind(at, entry.labour.as_ref()),
            },
            per,
            needs: self.references(at, &entry.needs),
            parts: entry.parts.iter().map(|p| self.part(at, p)).collect(),
        }
    }

    fn job(&mut self, at: Place, entry: &JobEntry) -> Job {
        if entry.covers.get_ref().is_empty() {
            self.senseless(at, entry.covers.span(), "a job that covers nothing", "name at least one part in covers");
        }
        let per = entry.per.as_ref().and_then(|per| self.one(at, per)).unwrap_or_default();
        let hours = entry.hours.as_ref().map_or(Decimal::ZERO, |h| self.number(at, h, "the hours"));
        Job {
            id: entry.id.get_ref().clone(),
            name: entry.name.clone(),
            covers: entry.covers.get_ref().iter().map(|c| self.cover(at, c)).collect(),
            per,
            at: self.all(at, &entry.at),
            operations: self.references(at, &entry.operations),
            work: Work {
                hours,
                hours_at: self.hours_at(at, &entry.hours_at, per),
                labour: self.kind(at, entry.labour.as_ref()),
            },
            parts: entry.parts.iter().map(|p| self.part(at, p)).collect(),
        }
    }

    fn cover(&mut self, at: Place, entry: &CoverEntry) -> Cover {
        let part = entry.part.get_ref();
        if !self.parts.contains(part.as_str()) {
            let help = match meant(part, self.parts.iter().copied()) {
                Some(near) => format!("write the id of one that is there (\"{near}\"?)"),
                None => "write the id of one that is there".into(),
            };
            let what = format!("the lexicon has no part \"{part}\"");
            self.bad(BookFault::UnknownPart, at, entry.part.span(), what, help);
        }
        Cover {
            part: part.clone(),
            actions: entry.actions.as_ref().map_or(vec![ActionId::Replace], |actions| self.all(at, actions)),
            conditions: self.all(at, &entry.conditions),
            at: self.all(at, &entry.at),
        }
    }

    /// The word that was chosen; nothing with a problem where it is none of those that can be.
    fn one<T: Copy>(&mut self, at: Place, chosen: &Chosen<T>) -> Option<T> {
        match chosen.get_ref() {
            OneOf::Known(value) => Some(*value),
            OneOf::Unknown(why) => {
                self.bad(BookFault::Unreadable, at, chosen.span(), why.as_str(), CORRECT);
                None
            }
        }
    }

    fn all<T: Copy>(&mut self, at: Place, chosen: &[Chosen<T>]) -> Vec<T> {
        chosen.iter().filter_map(|c| self.one(at, c)).collect()
    }

    /// Hours of work that is done once for each `per`, by place.
    fn hours_at(&mut self, at: Place, entries: &[HoursAtEntry], per: Per) -> Vec<HoursAt> {
        let mut out = Vec::new();
        for entry in entries {
            let places = self.all(at, entry.at.get_ref());
            if entry.at.get_ref().is_empty() {
                self.senseless(at, entry.at.span(), "hours at no place", "name the places in at");
            } else if !per.tells_apart(&places) {
                let help = "write a per that tells these places apart, such as per = \"corner\"";
                self.senseless(at, entry.at.span(), "hours by place for work that is done once for them all", help);
            }
            out.push(HoursAt { at: places, hours: self.number(at, &entry.hours, "the hours") });
        }
        out
    }

    /// Without a kind, labour is the first kind of the book.
    fn kind(&mut self, at: Place, kind: Option<&Word>) -> usize {
        kind.map_or(0, |k| match self.labour.get(k.get_ref()) {
            Some(n) => *n,
            None => {
                self.bad_reference(at, k, "kind of labour", "[[labour]]", |c| &c.labour);
                0
            }
        })
    }

    fn references(&mut self, at: Place, ids: &[Word]) -> Vec<usize> {
        let mut out = Vec::new();
        for id in ids {
            match self.operations.get(id.get_ref()) {
                Some(n) => out.push(*n),
                None => self.bad_reference(at, id, "operation", "[[operation]]", |c| &c.operations),
            }
        }
        out.sort_unstable();
        out.dedup();
        out
    }

    fn bad_reference(
        &mut self,
        at: Place,
        id: &Word,
        kind: &str,
        table: &str,
        known: impl Fn(&Self) -> &HashMap<String, usize>,
    ) {
        let near = meant(id.get_ref(), known(self).keys().map(String::as_str));
        let help = near.map_or(format!("add it as {table}"), |n| format!("add it, or write \"{n}\""));
        let what = format!("no {kind} \"{}\"", id.get_ref());
        self.bad(BookFault::UnknownReference, at, id.span(), what, help);
    }

    fn part(&mut self, at: Place, entry: &PartEntry) -> PartLine {
        let usual = self.choice(at, entry.usual());
        let quantity = entry.quantity.as_ref().map_or(Decimal::ONE, |q| self.number(at, q, "the quantity"));
        let instead = entry.instead.iter().map(|c| self.choice(at, c.parts())).collect();
        PartLine { usual, quantity, optional: entry.optional, instead }
    }

    fn choice(&mut self, at: Place, entry: ChoiceParts) -> PartChoice {
        let low = entry.price.as_ref().map(|p| (p, self.number(at, p, "the price")));
        let high = entry.to.as_ref().map(|p| (p, self.number(at, p, "the price")));
        let price = match (low, high) {
            (None, None) => None,
            (Some((_, low)), None) => Some(Amount::exact(low)),
            (None, Some((to, _))) => {
                self.senseless(at, to.span(), "price_to without price", "write price for the lower end");
                None
            }
            (Some((_, low)), Some((to, high))) => {
                if high < low {
                    self.senseless(at, to.span(), "price_to lies below price", "write the lower end as price");
                }
                Some(Amount { low, high })
            }
        };
        if let Some(id) = entry.id
            && !self.choices.insert(id.get_ref().clone())
        {
            self.twice(at, id, "part line");
        }
        let name = entry.name.get_ref().clone();
        let id = entry.id.as_ref().map_or_else(|| id_of(&name), |w| w.get_ref().clone());
        PartChoice { id, name, price }
    }

    fn twice(&mut self, at: Place, id: &Word, what: &str) {
        let what = format!("a second {what} with the id \"{}\"", id.get_ref());
        self.bad(BookFault::Twice, at, id.span(), what, "give each an id of its own");
    }

    /// The number as it is written; zero with a problem where it is none.
    fn number(&mut self, at: Place, number: &Number, what: &str) -> Decimal {
        figure::read(number, &at.text).unwrap_or_else(|(fault, wrong)| {
            let help = "write a plain number, zero or more, such as 0.4 or 58.00";
            self.bad(fault, at, number.span(), format!("{what} {wrong}"), help);
            Decimal::ZERO
        })
    }

    fn cycles(&mut self, operations: &[Operation], entries: &[(Place, &OperationEntry)]) {
        for round in cycles::cycles(operations) {
            let ids: Vec<&str> = round.iter().chain(round.first()).map(|n| operations[*n].id.as_str()).collect();
            let what = format!("operations that need each other: {}", ids.join(" → "));
            if let Some((at, entry)) = round.first().and_then(|n| entries.get(*n)) {
                self.bad(BookFault::Cycle, at, entry.id.span(), what, "take one of these needs out");
            }
        }
    }
}

/// An id made of a name: its words in small letters, joined by hyphens.
fn id_of(name: &str) -> String {
    let words = name.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.map(str::to_lowercase).collect::<Vec<_>>().join("-")
}
