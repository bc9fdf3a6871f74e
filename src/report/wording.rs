//! Owns the words people read for the ids of the findings document. No other file of the reports spells an id out.

use crate::checklist::{Coverage, Gap, Missing};
use crate::findings::{Condition, Finding, Measurement, Role};
use crate::lexicon::{ActionId, ConditionId, DegreeId, Position, UrgencyId, Verdict};
use crate::text::Unit;

/// Below this one the mark is stronger.
const DOUBTFUL: f64 = 0.4;

/// A name with its place behind a comma, if it has one.
pub fn at(name: &str, position: &[Position]) -> String {
    let name = shown(name);
    match place(position) {
        place if place.is_empty() => name,
        place => format!("{name}, {place}"),
    }
}

/// Where on the vehicle, as the trade says it: "left front, lower", "both sides", "all four". Empty where no place is known.
pub fn place(position: &[Position]) -> String {
    let has = |p: Position| position.contains(&p);
    let ends = (has(Position::Front), has(Position::Rear));
    let sides = (has(Position::Left), has(Position::Right));
    let corner = match (ends, sides) {
        ((false, false), (false, false)) => "",
        ((true, false), (false, false)) => "front",
        ((false, true), (false, false)) => "rear",
        ((true, true), (false, false)) => "front and rear",
        ((false, false), (true, false)) => "left",
        ((false, false), (false, true)) => "right",
        ((false, false), (true, true)) => "both sides",
        ((true, false), (true, false)) => "left front",
        ((true, false), (false, true)) => "right front",
        ((false, true), (true, false)) => "left rear",
        ((false, true), (false, true)) => "right rear",
        ((true, false), (true, true)) => "front, both sides",
        ((false, true), (true, true)) => "rear, both sides",
        ((true, true), (true, false)) => "left side, front and rear",
        ((true, true), (false, true)) => "right side, front and rear",
        ((true, true), (true, true)) => "all four",
    };
    let pair = |a: Position, b: Position| match (has(a), has(b)) {
        (true, true) => format!("{} and {}", a.as_str(), b.as_str()),
        (true, false) => a.as_str().to_string(),
        (false, true) => b.as_str().to_string(),
        (false, false) => String::new(),
    };
    let level = pair(Position::Upper, Position::Lower);
    let depth = pair(Position::Inner, Position::Outer);
    let center = if has(Position::Center) { "center" } else { "" };
    let words = [corner, center, &level, &depth];
    words.into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(", ")
}

/// How a condition is worded: a noun takes "slight", anything else "slightly".
enum Form {
    Noun(&'static str),
    /// The word and how a severe one is said.
    Quality(&'static str, &'static str),
}

/// What is wrong, with its degree: "slight play", "badly worn".
pub fn condition(c: &Condition) -> String {
    let form = form(c.id);
    let word = match form {
        Form::Noun(w) | Form::Quality(w, _) => w,
    };
    match (form, c.degree) {
        (_, None) => word.to_string(),
        (Form::Noun(_), Some(d)) => format!("{} {word}", d.as_str()),
        (Form::Quality(..), Some(DegreeId::Slight)) => format!("slightly {word}"),
        (Form::Quality(..), Some(DegreeId::Moderate)) => format!("moderately {word}"),
        (Form::Quality(_, severe), Some(DegreeId::Severe)) => format!("{severe} {word}"),
    }
}

fn form(id: ConditionId) -> Form {
    use Form::{Noun, Quality};
    match id {
        ConditionId::Leak => Noun("leak"),
        ConditionId::Seep => Noun("seep"),
        ConditionId::Crack => Noun("crack"),
        ConditionId::Tear => Noun("tear"),
        ConditionId::Worn => Quality("worn", "badly"),
        ConditionId::Thin => Quality("thin", "very"),
        ConditionId::Play => Noun("play"),
        ConditionId::Loose => Quality("loose", "very"),
        ConditionId::Broken => Quality("broken", "badly"),
        ConditionId::Missing => Quality("missing", "wholly"),
        ConditionId::Bent => Quality("bent", "badly"),
        ConditionId::Corrosion => Noun("corrosion"),
        ConditionId::Noise => Noun("noise"),
        ConditionId::Vibration => Noun("vibration"),
        ConditionId::Seized => Quality("seized", "fully"),
        ConditionId::Inoperative => Quality("not working", "altogether"),
        ConditionId::Intermittent => Quality("intermittent", "badly"),
        ConditionId::Contaminated => Quality("contaminated", "badly"),
        ConditionId::Low => Quality("low", "very"),
        ConditionId::Sagging => Quality("sagging", "badly"),
        ConditionId::Peeling => Quality("peeling", "badly"),
        ConditionId::Discolored => Quality("discolored", "badly"),
        ConditionId::UnevenWear => Noun("uneven wear"),
        ConditionId::Chafed => Quality("chafed", "badly"),
        ConditionId::Swollen => Quality("swollen", "badly"),
        ConditionId::Blocked => Quality("blocked", "badly"),
        ConditionId::Misaligned => Quality("out of line", "badly"),
        ConditionId::Damage => Noun("damage"),
        ConditionId::Burnt => Quality("burnt", "badly"),
        ConditionId::Weak => Quality("weak", "very"),
        ConditionId::Code => Noun("trouble code"),
        ConditionId::Overdue => Quality("overdue", "long"),
        ConditionId::Smell => Noun("smell"),
        ConditionId::Moisture => Noun("moisture"),
    }
}

/// What is to be done.
pub fn action(a: ActionId) -> &'static str {
    match a {
        ActionId::TopUp => "top up",
        other => other.as_str(),
    }
}

/// How pressing, as an order.
pub fn urgency(u: UrgencyId) -> &'static str {
    match u {
        UrgencyId::Stop => "do not drive",
        UrgencyId::Now => "needs doing now",
        UrgencyId::Soon => "needs doing soon",
        UrgencyId::Watch => "keep an eye on",
    }
}

/// What is said of a part.
pub fn verdict(v: Verdict) -> &'static str {
    match v {
        Verdict::Defect => "defect",
        Verdict::Sound => "called sound",
        Verdict::Serviced => "said to be serviced before",
        Verdict::Unchecked => "not checked",
    }
}

/// What a piece of evidence stands for.
pub fn role(r: Role) -> &'static str {
    match r {
        Role::Component => "part",
        Role::Position => "place",
        Role::Condition => "condition",
        Role::Verdict => "verdict",
        Role::Action => "action",
        Role::Urgency => "urgency",
        Role::Measurement => "figure",
        Role::Context => "context",
    }
}

/// A value with its unit: "2 mm", "4/32 in", "3 weeks".
pub fn quantity(value: f64, unit: Unit) -> String {
    let unit = match unit {
        Unit::Millimetre => " mm",
        Unit::Inch => " in",
        Unit::ThirtySecond => "/32 in",
        Unit::Volt => " V",
        Unit::Psi => " psi",
        Unit::Kilopascal => " kPa",
        Unit::Bar => " bar",
        Unit::Percent => "%",
        Unit::Celsius => " °C",
        Unit::Fahrenheit => " °F",
        Unit::Mile => " mi",
        Unit::Kilometre => " km",
        Unit::Week if value == 1.0 => " week",
        Unit::Week => " weeks",
        Unit::Month if value == 1.0 => " month",
        Unit::Month => " months",
        Unit::Ampere => " A",
        Unit::ColdCranking => " CCA",
        Unit::NewtonMetre => " Nm",
        Unit::FootPound => " ft-lb",
        Unit::Degree => "°",
    };
    format!("{}{unit}", figure(value))
}

/// A figure with at most three places after the point; thousands are set off from five digits on.
fn figure(value: f64) -> String {
    let plain = format!("{value:.3}");
    let plain = plain.trim_end_matches('0').trim_end_matches('.');
    let (whole, rest) = plain.split_at(plain.find('.').unwrap_or(plain.len()));
    let digits = whole.trim_start_matches('-');
    if digits.len() < 5 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return plain.to_string();
    }
    let mut out = String::from(if whole.starts_with('-') { "-" } else { "" });
    for (i, d) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i) % 3 == 0 {
            out.push(',');
        }
        out.push(d);
    }
    out + rest
}

/// A measured value and how it stands to its limit.
pub fn measurement(m: &Measurement) -> String {
    let said = quantity(m.value, m.unit);
    match &m.limit {
        None => said,
        Some(l) if l.passed_limit => {
            format!("{said}, FAILS the limit of {}", quantity(l.value, l.unit))
        }
        Some(l) => format!("{said}, within the limit of {}", quantity(l.value, l.unit)),
    }
}

/// Where a published figure comes from, for the customer: without remarks in brackets on how the shop's list came by it.
pub fn source(source: &str) -> String {
    let is_remark = |inner: &str| inner == "seen" || inner.contains("restated") || inner.contains("from memory");
    let (mut out, mut rest) = (String::new(), source);
    while let Some((before, inner, after)) = rest.split_once(" (").and_then(|(b, r)| {
        let (inner, after) = r.split_once(')')?;
        Some((b, inner, after))
    }) {
        out.push_str(before);
        if !is_remark(inner) {
            out.push_str(&format!(" ({inner})"));
        }
        rest = after;
    }
    shown(&(out + rest))
}

/// A mark for findings that are not certain and that nobody stands behind.
pub fn doubt(finding: &Finding) -> Option<String> {
    if !finding.is_uncertain() {
        return None;
    }
    let confidence = finding.confidence;
    let mark = if confidence >= DOUBTFUL { "uncertain" } else { "doubtful" };
    Some(format!("{mark}, confidence {confidence:.2}: check the words"))
}

/// What a checklist is and how much of it was spoken of. Pages with it are passed on: without remarks on its source.
pub fn checklist(c: &Coverage) -> String {
    let (name, source) = (shown(&c.name), source(&c.source));
    let spoken = c.points - c.gaps.len();
    format!("{name}: {spoken} of {} were wholly spoken of. Source: {source}.", count(c.points, "point", "points"))
}

/// A point of a checklist with what is missing of it.
pub fn gap(gap: &Gap) -> String {
    let rest = match &gap.missing {
        Missing::All => String::new(),
        Missing::OnlyGeneral => " (only in general, not of this vehicle)".into(),
        Missing::At(at) => format!(" ({})", place(at)),
        Missing::PlaceNotSaid => " (where was not said)".into(),
    };
    format!("{}{rest}", shown(&gap.name))
}

/// A time of the recording: "0:41", "1:02:03".
pub fn time(ms: u64) -> String {
    let s = ms / 1000;
    let (h, m, s) = (s / 3600, s / 60 % 60, s % 60);
    if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") }
}

/// "1 line", "2 lines".
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Words of the source made safe to show: line ends and tabs become spaces, other control characters and marks that turn the
/// direction of writing become U+FFFD.
pub fn shown(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => ' ',
            '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' => '\u{FFFD}',
            c if c.is_control() => '\u{FFFD}',
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remarks_on_a_source_are_not_for_the_customer() {
        let table = [
            ("49 CFR 570.9(a), up to 10,000 lb (from memory)", "49 CFR 570.9(a), up to 10,000 lb"),
            (
                "49 CFR 393.75(b), front wheels (restated); 570.62(a) (seen)",
                "49 CFR 393.75(b), front wheels; 570.62(a)",
            ),
            (
                "reg. 27(1)(g), (4)(f): central three quarters (restated)",
                "reg. 27(1)(g), (4)(f): central three quarters",
            ),
            ("headings of Annex I (0 and 1 seen in OJ L 219; 2 to 8 from memory)", "headings of Annex I"),
            ("groups of Appendix A (1 to 7 restated; 8 from memory), as of 2020", "groups of Appendix A, as of 2020"),
            ("the shop's own figure (foreman, 2026)", "the shop's own figure (foreman, 2026)"),
            ("never closed (from memory", "never closed (from memory"),
            ("", ""),
        ];
        for (kept, shown) in table {
            assert_eq!(source(kept), shown);
        }
    }

    #[test]
    fn no_source_of_ours_reaches_the_customer_with_a_remark() -> Result<(), crate::lexicon::LexiconError> {
        let lexicon = crate::lexicon::Lexicon::builtin()?;
        let limits = lexicon.limits.iter().map(|l| &l.source);
        let sources: Vec<&String> = limits.chain(lexicon.guidance.checklists.iter().map(|c| &c.source)).collect();
        let has_remark = |s: &str| ["from memory", "restated", "seen"].iter().any(|r| s.contains(r));
        assert!(sources.iter().any(|s| has_remark(s)), "nothing to leave out");
        for kept in sources {
            assert!(!has_remark(&source(kept)), "{kept}");
            assert!(!source(kept).is_empty(), "{kept}");
        }
        Ok(())
    }

    use Position::{Center, Front, Inner, Left, Lower, Rear, Right, Upper};

    #[test]
    fn places_are_said_as_in_the_trade() {
        let table: [(&[Position], &str); 12] = [
            (&[], ""),
            (&[Front, Left], "left front"),
            (&[Left, Rear], "left rear"),
            (&[Left, Right], "both sides"),
            (&[Front, Rear, Left, Right], "all four"),
            (&[Front, Left, Lower], "left front, lower"),
            (&[Front, Left, Right], "front, both sides"),
            (&[Front, Rear], "front and rear"),
            (&[Rear, Center], "rear, center"),
            (&[Front, Right, Upper, Inner], "right front, upper, inner"),
            (&[Upper, Lower], "upper and lower"),
            (&[Front, Rear, Right], "right side, front and rear"),
        ];
        for (position, words) in table {
            assert_eq!(place(position), words);
        }
    }

    #[test]
    fn conditions_carry_their_degree() {
        let table = [
            (ConditionId::Play, Some(DegreeId::Slight), "slight play"),
            (ConditionId::Worn, Some(DegreeId::Severe), "badly worn"),
            (ConditionId::Low, Some(DegreeId::Slight), "slightly low"),
            (ConditionId::Inoperative, None, "not working"),
            (ConditionId::UnevenWear, Some(DegreeId::Moderate), "moderate uneven wear"),
        ];
        for (id, degree, words) in table {
            assert_eq!(condition(&Condition { id, degree }), words);
        }
    }

    #[test]
    fn figures_are_short_and_set_off() {
        let table = [
            (2.0, Unit::Millimetre, "2 mm"),
            (3.2, Unit::Millimetre, "3.2 mm"),
            (4.0, Unit::ThirtySecond, "4/32 in"),
            (71400.0, Unit::Mile, "71,400 mi"),
            (1_234_567.5, Unit::Kilometre, "1,234,567.5 km"),
            (-12.0, Unit::Celsius, "-12 °C"),
            (1.0, Unit::Week, "1 week"),
            (0.004, Unit::Inch, "0.004 in"),
        ];
        for (value, unit, words) in table {
            assert_eq!(quantity(value, unit), words);
        }
    }

    #[test]
    fn times_grow_an_hour_when_needed() {
        assert_eq!(time(41_900), "0:41");
        assert_eq!(time(3_723_000), "1:02:03");
    }

    #[test]
    fn nothing_said_can_steer_a_terminal() {
        assert_eq!(shown("a\u{1b}[31mb\nc\u{202e}d"), "a\u{FFFD}[31mb c\u{FFFD}d");
    }
}
