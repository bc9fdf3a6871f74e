//! Owns straight lines through points: ordinary least squares, its standard errors, and where the line meets a value.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// Share of repetitions in which an interval holds the true value.
pub const LEVEL: f64 = 0.8;

/// A line y = intercept + slope·x through points, by least squares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Points.
    pub n: usize,
    /// y at x = 0.
    pub intercept: f64,
    /// Change of y with x.
    pub slope: f64,
    /// Residual standard deviation; `None` with two points.
    pub residual_deviation: Option<f64>,
    /// Standard error of the slope; `None` with two points.
    pub slope_error: Option<f64>,
    /// Standard error of the intercept; `None` with two points.
    pub intercept_error: Option<f64>,
    mean_x: f64,
    mean_y: f64,
    sxx: f64,
}

impl Fit {
    /// The line through at least two points that differ in x.
    pub fn of(points: &[(f64, f64)]) -> Option<Fit> {
        let n = points.len();
        let count = n as f64;
        let mean_x = points.iter().map(|p| p.0).sum::<f64>() / count;
        let mean_y = points.iter().map(|p| p.1).sum::<f64>() / count;
        let sxx: f64 = points.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
        let sxy: f64 = points.iter().map(|p| (p.0 - mean_x) * (p.1 - mean_y)).sum();
        if n < 2 || !(sxx.is_normal() && sxy.is_finite()) {
            return None;
        }
        let slope = sxy / sxx;
        let intercept = mean_y - slope * mean_x;
        let rest: f64 = points.iter().map(|p| (p.1 - intercept - slope * p.0).powi(2)).sum();
        let deviation = (n > 2).then(|| (rest / (count - 2.0)).sqrt());
        Some(Fit {
            n,
            intercept,
            slope,
            residual_deviation: deviation,
            slope_error: deviation.map(|s| s / sxx.sqrt()),
            intercept_error: deviation.map(|s| s * (1.0 / count + mean_x.powi(2) / sxx).sqrt()),
            mean_x,
            mean_y,
            sxx,
        })
    }

    /// Where the line meets `y`.
    pub fn meets(&self, y: f64) -> Option<f64> {
        let x = self.mean_x + (y - self.mean_y) / self.slope;
        x.is_finite().then_some(x)
    }

    /// Between which x the true line meets `y`, at [`LEVEL`]: Fieller's interval. `None` with two points, or where the slope is too
    /// uncertain for any end.
    pub fn meets_between(&self, y: f64) -> Option<(f64, f64)> {
        let error = self.residual_deviation?;
        let freedom = StudentsT::new(0.0, 1.0, self.n as f64 - 2.0).ok()?;
        let t = freedom.inverse_cdf(0.5 + LEVEL / 2.0);
        let spread = (t * error).powi(2);
        // (y - mean_y - slope·d)² = spread·(1/n + d²/sxx), solved for d
        let a = self.slope.powi(2) - spread / self.sxx;
        if a <= 0.0 {
            return None;
        }
        let gap = y - self.mean_y;
        let half = -self.slope * gap;
        let c = gap.powi(2) - spread / self.n as f64;
        let root = (half.powi(2) - a * c).max(0.0).sqrt();
        let (low, high) = ((-half - root) / a, (-half + root) / a);
        Some((self.mean_x + low, self.mean_x + high))
    }
}
