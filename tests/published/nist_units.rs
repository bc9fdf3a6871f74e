//! NIST Special Publication 811, Appendix B: 1 in = 25.4 mm (exact), 1 psi = 6.894757 kPa, 1 lbf·ft = 1.355818 N·m.
//! The derived values were recomputed by hand.

use hoistnote::limits::convert;
use hoistnote::text::Unit;

#[test]
fn conversions() {
    for (value, from, to, want, within) in [
        (1.0, Unit::Inch, Unit::Millimetre, 25.4, 1e-9),
        (2.0, Unit::ThirtySecond, Unit::Millimetre, 1.5875, 1e-9),
        (4.0, Unit::ThirtySecond, Unit::Millimetre, 3.175, 1e-9),
        (1.6, Unit::Millimetre, Unit::ThirtySecond, 2.016, 0.001),
        (32.0, Unit::Psi, Unit::Kilopascal, 220.6, 0.05),
        (100.0, Unit::FootPound, Unit::NewtonMetre, 135.6, 0.05),
        (1.0, Unit::Bar, Unit::Kilopascal, 100.0, 1e-9),
    ] {
        let Some(got) = convert(value, from, to) else { panic!("{value} {from:?} → {to:?}") };
        assert!((got - want).abs() <= within, "{value} {from:?} → {to:?}: {got}, not {want}");
    }
    // scale of Celsius and Fahrenheit: the fixed points of water
    assert_eq!(convert(212.0, Unit::Fahrenheit, Unit::Celsius).map(|c| c.round()), Some(100.0));
    assert_eq!(convert(-40.0, Unit::Celsius, Unit::Fahrenheit).map(|f| f.round()), Some(-40.0));
    assert_eq!(convert(1.0, Unit::Volt, Unit::Psi), None);
}
