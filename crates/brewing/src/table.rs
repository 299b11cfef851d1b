//! Tables of numbers.

/// Linear between rows sorted by the first number; flat beyond the ends.
pub(crate) fn interpolate(rows: &[(f64, f64)], x: f64) -> f64 {
    let (Some(&(first, low)), Some(&(last, high))) = (rows.first(), rows.last()) else { return f64::NAN };
    if x <= first {
        return low;
    }
    if x >= last {
        return high;
    }
    for pair in rows.windows(2) {
        if let [(x0, y0), (x1, y1)] = *pair
            && x <= x1
        {
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
        }
    }
    f64::NAN
}
