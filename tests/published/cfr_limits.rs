//! 49 CFR 393.75 and 570 (tread, lining), UK Construction and Use Regulations 1986 reg. 27 (tread): which figures fail.

use hoistnote::findings::Document;
use hoistnote::interpretation::Settings;
use hoistnote::lexicon::{Jurisdiction, VehicleClass};

use crate::phenomena::INTERPRETER;

fn tread(said: &str, vehicle: VehicleClass, jurisdiction: Jurisdiction) -> Result<Document, String> {
    let dictation = hoistnote::dictation::read("case", said.as_bytes()).map_err(|e| e.to_string())?;
    let interpreter = INTERPRETER.as_ref().ok_or("the built-in lexicon does not compile")?;
    Ok(interpreter.document(&dictation, Settings { jurisdiction, vehicle: Some(vehicle), ..Settings::default() }))
}

#[test]
fn tread_limits() -> Result<(), String> {
    use Jurisdiction::{Uk, Us};
    use VehicleClass::{Heavy, Light};
    for (said, vehicle, jurisdiction, fails) in [
        // 570.9(a): at least 2/32
        ("Left front tire is worn, one thirty-second.", Light, Us, true),
        ("Left front tire is worn, two thirty-seconds.", Light, Us, false),
        // 393.75(b): at least 4/32 at the front of a truck; (c): 2/32 elsewhere
        ("Left front tire is worn, three thirty-seconds.", Heavy, Us, true),
        ("Left front tire is worn, four thirty-seconds.", Heavy, Us, false),
        ("Left rear tire is worn, three thirty-seconds.", Heavy, Us, false),
        // reg. 27: 1.6 mm, so that 2/32 in = 1.5875 mm fails
        ("Left front tire is worn, two thirty-seconds.", Light, Uk, true),
        ("Left front tire is worn, 1.6 mm.", Light, Uk, false),
        ("Left front tire is worn, 1.5 mm.", Light, Uk, true),
        ("Left front tire is worn, 1.5 mm.", Heavy, Uk, false),
    ] {
        let doc = tread(said, vehicle, jurisdiction)?;
        let failed =
            doc.findings.iter().flat_map(|f| &f.measurements).filter_map(|m| m.limit.as_ref()).any(|l| l.passed_limit);
        let held = doc.findings.iter().flat_map(|f| &f.measurements).any(|m| m.limit.is_some());
        assert!(held, "{said}: no limit was applied");
        assert_eq!(failed, fails, "{said} {vehicle:?} {jurisdiction:?}");
    }
    Ok(())
}
