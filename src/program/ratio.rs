//! Exact fractions, for testing values against rows.

/// A fraction in lowest terms with a positive denominator.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ratio {
    /// Above the line.
    pub over: i128,
    /// Below the line; at least 1.
    pub under: i128,
}

impl Ratio {
    /// Nothing.
    pub const ZERO: Self = Self { over: 0, under: 1 };

    /// Returns a whole number.
    pub const fn whole(value: i128) -> Self {
        Self {
            over: value,
            under: 1,
        }
    }

    /// Returns `over / under`; `under` must be above 0.
    pub fn new(over: i128, under: i128) -> Self {
        let divisor = common_divisor(over.unsigned_abs(), under.unsigned_abs()).max(1) as i128;
        Self {
            over: over / divisor,
            under: under / divisor,
        }
    }

    /// Returns the sum, or `None` past 128 bits.
    pub fn plus(self, other: Self) -> Option<Self> {
        let divisor = common_divisor(self.under as u128, other.under as u128) as i128;
        let left = self.over.checked_mul(other.under / divisor)?;
        let right = other.over.checked_mul(self.under / divisor)?;
        let under = self.under.checked_mul(other.under / divisor)?;
        Some(Self::new(left.checked_add(right)?, under))
    }

    /// Returns the product with a whole number, or `None` past 128 bits.
    pub fn times(self, factor: i128) -> Option<Self> {
        let divisor = common_divisor(factor.unsigned_abs(), self.under as u128).max(1) as i128;
        Some(Self::new(
            self.over.checked_mul(factor / divisor)?,
            self.under / divisor,
        ))
    }

    /// Returns whether it is a whole number.
    pub fn is_whole(self) -> bool {
        self.under == 1
    }

    /// Returns the nearest floating-point number, for printing.
    pub fn approximate(self) -> f64 {
        self.over as f64 / self.under as f64
    }
}

fn common_divisor(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// Writes a number of thousand-millionths as an exact decimal without needless zeros.
pub(super) fn decimal(nano: i128) -> String {
    let sign = if nano < 0 { "-" } else { "" };
    let size = nano.unsigned_abs();
    let (whole, rest) = (size / 1_000_000_000, size % 1_000_000_000);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let rest = format!("{rest:09}");
    format!("{sign}{whole}.{}", rest.trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::{Ratio, decimal};

    #[test]
    fn thirds_add_up_to_one() {
        let third = Ratio::new(4, 12);
        let sum = third.plus(third).and_then(|two| two.plus(third));
        assert_eq!(sum, Some(Ratio::whole(1)));
        assert_eq!(third.times(-6), Some(Ratio::whole(-2)));
    }

    #[test]
    fn decimals_are_exact_and_short() {
        assert_eq!(decimal(-1_500_000_000), "-1.5");
        assert_eq!(decimal(1), "0.000000001");
        assert_eq!(decimal(3_000_000_000), "3");
    }
}
