//! How money is written for people: by the currency's symbol and in its place.

use super::Currency;

/// A space at which no line is broken; printed as a plain space.
const JOINT: char = '\u{a0}';

/// Where a symbol stands, and whether a space parts it from the figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// `€3.49`
    Before,
    /// `Rp 3.49`
    BeforeApart,
    /// `3.49৳`
    After,
    /// `3.49 zł`
    AfterApart,
}

use Place::{After, AfterApart, Before, BeforeApart};

/// Symbols of currencies: Unicode CLDR 48 in English, and where English has the code alone, in the
/// language named beside it. What is not here is written by its code. `tests/screens.rs` holds
/// the table against the CLDR in Node's `Intl`.
pub const SYMBOLS: [(&str, &str, Place, &str); 47] = [
    ("ALL", "Lekë", AfterApart, "sq"),
    ("AMD", "֏", AfterApart, "hy"),
    ("AUD", "A$", Before, "en"),
    ("AZN", "₼", AfterApart, "az"),
    ("BAM", "KM", AfterApart, "bs"),
    ("BDT", "৳", After, "bn"),
    ("BRL", "R$", Before, "en"),
    ("CAD", "CA$", Before, "en"),
    ("CNY", "CN¥", Before, "en"),
    ("CZK", "Kč", AfterApart, "cs"),
    ("DKK", "kr.", AfterApart, "da"),
    ("EUR", "€", Before, "en"),
    ("GBP", "£", Before, "en"),
    ("GEL", "₾", AfterApart, "ka"),
    ("GHS", "GH₵", Before, "en-GH"),
    ("HKD", "HK$", Before, "en"),
    ("HUF", "Ft", AfterApart, "hu"),
    ("IDR", "Rp", BeforeApart, "id"),
    ("ILS", "₪", Before, "en"),
    ("INR", "₹", Before, "en"),
    ("ISK", "kr.", AfterApart, "is"),
    ("JPY", "¥", Before, "en"),
    ("KES", "Ksh", BeforeApart, "en-KE"),
    ("KRW", "₩", Before, "en"),
    ("KZT", "₸", AfterApart, "kk"),
    ("MXN", "MX$", Before, "en"),
    ("MYR", "RM", BeforeApart, "ms"),
    ("NGN", "₦", Before, "en-NG"),
    ("NOK", "kr", AfterApart, "nb"),
    ("NZD", "NZ$", Before, "en"),
    ("PEN", "S/", BeforeApart, "es-PE"),
    ("PHP", "₱", Before, "en"),
    ("PLN", "zł", AfterApart, "pl"),
    ("RUB", "₽", AfterApart, "ru"),
    ("SEK", "kr", AfterApart, "sv"),
    ("THB", "฿", Before, "th"),
    ("TRY", "₺", Before, "tr"),
    ("TWD", "NT$", Before, "en"),
    ("UAH", "₴", AfterApart, "uk"),
    ("USD", "$", Before, "en"),
    ("VND", "₫", Before, "en"),
    ("XAF", "FCFA", BeforeApart, "en"),
    ("XCD", "EC$", Before, "en"),
    ("XCG", "Cg.", BeforeApart, "en"),
    ("XOF", "F CFA", BeforeApart, "en"),
    ("XPF", "CFPF", BeforeApart, "en"),
    ("ZAR", "R", BeforeApart, "en-ZA"),
];

impl Currency {
    fn symbol(&self) -> Option<(&'static str, Place)> {
        let known = SYMBOLS.iter().find(|(code, ..)| *code == self.code);
        known.map(|&(_, symbol, place, _)| (symbol, place))
    }

    /// Returns what stands beside a figure: the symbol, or the code.
    pub fn sign(&self) -> &str {
        self.symbol().map_or(&self.code, |(symbol, _)| symbol)
    }

    /// Returns minor units in the currency's own digits, for files and other programs: `3.49`.
    pub fn plain(&self, minor: i128) -> String {
        let digits = usize::from(self.digits);
        let sign = if minor < 0 { "-" } else { "" };
        let whole = minor.unsigned_abs();
        if digits == 0 {
            return format!("{sign}{whole}");
        }
        let unit = 10_u128.pow(u32::from(self.digits));
        format!("{sign}{}.{:0digits$}", whole / unit, whole % unit)
    }

    /// Returns minor units as a price is written: `$3.49`, `3.49 zł`; by its code where the
    /// currency has no symbol, `CHF 3.49`. Everything that people read is written so.
    pub fn cash(&self, minor: i128) -> String {
        let sign = if minor < 0 { "-" } else { "" };
        let figure = self.plain(minor);
        let figure = figure.trim_start_matches('-');
        match self.symbol() {
            Some((symbol, Before)) => format!("{sign}{symbol}{figure}"),
            Some((symbol, BeforeApart)) => {
                let symbol = symbol.replace(' ', &JOINT.to_string());
                format!("{sign}{symbol}{JOINT}{figure}")
            }
            Some((symbol, After)) => format!("{sign}{figure}{symbol}"),
            Some((symbol, AfterApart)) => format!("{sign}{figure}{JOINT}{symbol}"),
            None => format!("{sign}{}{JOINT}{figure}", self.code),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cash(code: &str, digits: u8, minor: i128) -> String {
        let code = code.to_owned();
        Currency { code, digits }
            .cash(minor)
            .replace([JOINT, '\u{202f}'], " ")
    }

    /// As the CLDR's own examples of English prices are written, and of the languages named.
    #[test]
    fn money_is_written_by_symbol_and_place() {
        assert_eq!(cash("USD", 2, 349), "$3.49");
        assert_eq!(cash("USD", 2, -5), "-$0.05");
        assert_eq!(cash("JPY", 0, 349), "¥349");
        assert_eq!(cash("PLN", 2, 349), "3.49 zł");
        assert_eq!(cash("XOF", 0, 349), "F CFA 349");
        assert_eq!(cash("CHF", 2, -349), "-CHF 3.49");
        assert_eq!(cash("KWD", 3, 1_005), "KWD 1.005");
    }

    #[test]
    fn files_get_the_number_alone() {
        let dollar = |digits| Currency {
            code: "USD".to_owned(),
            digits,
        };
        assert_eq!(dollar(2).plain(349), "3.49");
        assert_eq!(dollar(2).plain(-5), "-0.05");
        assert_eq!(dollar(0).plain(349), "349");
    }
}
