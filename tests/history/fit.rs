//! Least squares against certified values.

use hoistnote::history::Fit;

/// NIST Statistical Reference Datasets, linear regression, "Norris" (ozone monitor calibration): y, x.
const NORRIS: [(f64, f64); 36] = [
    (0.1, 0.2),
    (338.8, 337.4),
    (118.1, 118.2),
    (888.0, 884.6),
    (9.2, 10.1),
    (228.1, 226.5),
    (668.5, 666.3),
    (998.5, 996.3),
    (449.1, 448.6),
    (778.9, 777.0),
    (559.2, 558.2),
    (0.3, 0.4),
    (0.1, 0.6),
    (778.1, 775.5),
    (668.8, 666.9),
    (339.3, 338.0),
    (448.9, 447.5),
    (10.8, 11.6),
    (557.7, 556.0),
    (228.3, 228.1),
    (998.0, 995.8),
    (888.8, 887.6),
    (119.6, 120.2),
    (0.3, 0.3),
    (0.6, 0.3),
    (557.6, 556.8),
    (339.3, 339.1),
    (888.0, 887.2),
    (998.5, 999.0),
    (778.9, 779.0),
    (10.2, 11.1),
    (117.6, 118.3),
    (228.9, 229.2),
    (668.4, 669.1),
    (449.2, 448.9),
    (0.2, 0.5),
];

fn near(value: f64, certified: f64) {
    assert!((value / certified - 1.0).abs() < 1e-9, "{value} is not {certified}");
}

#[test]
fn norris_comes_out_as_certified() {
    let points: Vec<(f64, f64)> = NORRIS.iter().map(|(y, x)| (*x, *y)).collect();
    let fit = Fit::of(&points).unwrap_or_else(|| panic!("no line"));
    near(fit.intercept, -0.262_323_073_774_029);
    near(fit.slope, 1.002_116_818_020_45);
    near(fit.intercept_error.unwrap_or_default(), 0.232_818_234_301_152);
    near(fit.slope_error.unwrap_or_default(), 0.429_796_848_199_937e-3);
    near(fit.residual_deviation.unwrap_or_default(), 0.884_796_396_144_373);
}

#[test]
fn two_points_make_a_line_without_uncertainty() {
    let fit = Fit::of(&[(0.0, 9.0), (10.0, 7.0)]).unwrap_or_else(|| panic!("no line"));
    assert_eq!((fit.slope, fit.meets(1.0), fit.slope_error, fit.meets_between(1.0)), (-0.2, Some(40.0), None, None));
}

#[test]
fn what_makes_no_line_gives_none() {
    for points in [&[] as &[(f64, f64)], &[(1.0, 2.0)], &[(1.0, 2.0), (1.0, 3.0)], &[(0.0, f64::NAN), (1.0, 2.0)]] {
        assert!(Fit::of(points).is_none(), "{points:?}");
    }
    let level = Fit::of(&[(0.0, 5.0), (1.0, 5.0)]).unwrap_or_else(|| panic!("no line"));
    assert_eq!(level.meets(1.0), None);
}

#[test]
fn where_the_slope_may_be_none_there_is_no_end() {
    let fit = Fit::of(&[(0.0, 5.0), (1.0, 7.0), (2.0, 4.9)]).unwrap_or_else(|| panic!("no line"));
    assert_eq!(fit.meets_between(1.0), None);
}
