//! Owns the tone of a stretch of talk: what its signals come to for the part, in one word.

use super::polarity::{Says, Signal};

/// What a stretch says of the part, in one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    Defect,
    Sound,
    Unchecked,
    Serviced,
    WeakDefect,
    WeakSound,
    Measured,
    Action,
    Silent,
}

impl Tone {
    /// Word in the names of features.
    pub fn as_str(self) -> &'static str {
        match self {
            Tone::Defect => "defect",
            Tone::Sound => "sound",
            Tone::Unchecked => "unchecked",
            Tone::Serviced => "serviced",
            Tone::WeakDefect => "weak_defect",
            Tone::WeakSound => "weak_sound",
            Tone::Measured => "measured",
            Tone::Action => "action",
            Tone::Silent => "silent",
        }
    }
}

/// The tone of a stretch: what can't be seen outweighs a fault, a fault outweighs praise, firm words outweigh weak ones.
pub fn tone(signals: &[Signal], measured: bool) -> Tone {
    let mut best = if measured { Tone::Measured } else { Tone::Silent };
    let rank = |t: Tone| match t {
        Tone::Unchecked => 8,
        Tone::Defect => 7,
        Tone::Serviced => 6,
        Tone::Sound => 5,
        Tone::WeakDefect => 4,
        Tone::Action => 3,
        Tone::WeakSound => 2,
        Tone::Measured => 1,
        Tone::Silent => 0,
    };
    for s in signals {
        let t = match (s.says, s.weak) {
            (Says::Defect(_) | Says::SomeDefect, false) => Tone::Defect,
            (Says::Defect(_) | Says::SomeDefect, true) => Tone::WeakDefect,
            (Says::Sound { .. }, false) => Tone::Sound,
            (Says::Sound { .. }, true) => Tone::WeakSound,
            (Says::Unchecked, false) => Tone::Unchecked,
            (Says::Serviced, false) => Tone::Serviced,
            (Says::Action(_), _) => Tone::Action,
            _ => Tone::Silent,
        };
        if rank(t) > rank(best) {
            best = t;
        }
    }
    best
}
