//! Least squares against certified values.

use hoistnote::history::{Fit, LEVEL};

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

/// Numbers with a normal distribution, from a fixed seed (Box and Muller 1958).
struct Noise(u64);

impl Noise {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (a, b) = (self.even(), self.even());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

#[test]
fn eight_of_ten_intervals_hold_where_the_line_truly_meets() {
    const SERIES: usize = 4000;
    let mut noise = Noise(7);
    for visits in [3u32, 5, 8] {
        let held = (0..SERIES).filter(|_| {
            // 9 - 0.02·x meets 1 at 400
            let points: Vec<(f64, f64)> =
                (0..visits).map(|n| f64::from(n) * 40.0).map(|x| (x, 9.0 - 0.02 * x + 0.05 * noise.normal())).collect();
            let between = Fit::of(&points).and_then(|fit| fit.meets_between(1.0));
            between.is_some_and(|(low, high)| (low..=high).contains(&400.0))
        });
        // four standard errors of such a share
        let share = held.count() as f64 / SERIES as f64;
        assert!((share - LEVEL).abs() < 4.0 * (LEVEL * (1.0 - LEVEL) / SERIES as f64).sqrt(), "{visits}: {share}");
    }
}
