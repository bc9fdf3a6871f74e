//! Owns plain sentences as examples: each template of `plain.toml` with a number of well-known parts.

use std::collections::BTreeMap;

use hoistnote::dictation;
use hoistnote::interpretation::{Class, Interpreter, Settings};

use crate::gold::Example;

/// Parts the templates are read with, of many systems.
const PARTS: [&str; 21] = [
    "brakes",
    "alternator",
    "radiator",
    "water-pump",
    "serpentine-belt",
    "battery",
    "brake-caliper",
    "brake-hose",
    "shock-absorber",
    "tie-rod-end",
    "ball-joint",
    "muffler",
    "starter-motor",
    "fuel-pump",
    "thermostat",
    "steering-rack",
    "cv-boot",
    "horn",
    "wheel-bearing",
    "oil-pan-gasket",
    "exhaust-manifold",
];
/// Templates are shorter than what people say, and there are many of them.
const WEIGHT: f64 = 1.0;
/// Parts each template is read with, taken in turn.
const PARTS_A_TEMPLATE: usize = 8;

/// The examples, in a fixed order.
pub fn examples(interpreter: &Interpreter) -> Result<Vec<Example>, String> {
    let templates: BTreeMap<String, Vec<String>> =
        toml::from_str(include_str!("plain.toml")).map_err(|e| format!("plain.toml: {e}"))?;
    let lexicon = interpreter.lexicon();
    let mut out = Vec::new();
    let mut turn = 0;
    for class in Class::ALL {
        for template in templates.get(class.as_str()).into_iter().flatten() {
            for _ in 0..PARTS_A_TEMPLATE {
                turn += 1;
                let id = PARTS[turn % PARTS.len()];
                let Some(part) = lexicon.part_by_id(id) else { return Err(format!("plain.rs: no part {id}")) };
                let text = template.replace("{part}", &lexicon.parts[part].name);
                let dictation = dictation::read("plain", text.as_bytes()).map_err(|e| e.to_string())?;
                let a = interpreter.analyse(&dictation, Settings::default());
                for (m, features) in a.scene.mentions.iter().zip(a.features) {
                    if a.scene.components[m.component].id == id {
                        out.push(Example { features, class, fits: true, weight: WEIGHT });
                    }
                }
            }
        }
    }
    Ok(out)
}
