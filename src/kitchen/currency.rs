//! Currency codes of ISO 4217 and the digits of their minor units (from memory), and money.

use super::limits;
use super::number::{Decimal, decimal};
use super::wording::{Says, says, shown};
use crate::larder::Currency;

/// Codes with no minor unit.
const NONE: &str = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF";
/// Codes with a thousandth.
const THREE: &str = "BHD IQD JOD KWD LYD OMR TND";
/// Codes with a ten-thousandth.
const FOUR: &str = "CLF UYW";
/// Codes with a hundredth. (The ariary and the ouguiya count in fifths; the standard gives two.)
const TWO: &str = "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD \
     BTN BWP BYN BZD CAD CDF CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR \
     FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD \
     KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN \
     NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS \
     SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XCD \
     XCG YER ZAR ZMW ZWG";

/// Returns the currency of a code.
pub(crate) fn find(code: &str) -> Result<Currency, Says> {
    let wanted = code.trim();
    for (digits, list) in [(2, TWO), (0, NONE), (3, THREE), (4, FOUR)] {
        if list.split_whitespace().any(|known| known == wanted) {
            return Ok(Currency {
                code: wanted.to_owned(),
                digits,
            });
        }
    }
    let upper = wanted.to_uppercase();
    let help = if upper != wanted && find(&upper).is_ok() {
        format!("write it in capitals: `{}`", shown(&upper))
    } else {
        "write the three-letter code of ISO 4217, such as USD, EUR or JPY".to_owned()
    };
    Err(says(
        format!("`{}` is not a currency code", shown(code)),
        help,
    ))
}

/// Reads money into minor units.
pub(crate) fn money(text: &str, currency: &Currency, negative: bool) -> Result<i64, Says> {
    let example = match currency.digits {
        0 => "349",
        2 => "3.49",
        _ => "3.490",
    };
    let form = Decimal {
        places: u32::from(currency.digits),
        least: if negative { -limits::MONEY } else { 0 },
        most: limits::MONEY,
        what: "money",
        example,
    };
    decimal(text, form).map_err(|mut fault| {
        if text
            .trim_start()
            .starts_with(|c: char| !c.is_ascii() || c == '$')
            || text
                .trim_end()
                .ends_with(|c: char| c.is_alphabetic() || c == '$')
        {
            fault.help = format!(
                "write the number alone, like {example}; the currency is {} throughout",
                currency.code
            );
        }
        fault
    })
}

#[cfg(test)]
mod tests {
    //! Asks whether money is read in the currency's own minor unit. Digits by ISO 4217, from
    //! memory.
    use super::*;

    #[test]
    fn minor_units_follow_the_currency() {
        let read = |code: &str, text: &str| money(text, &find(code).expect("a code"), false);
        assert_eq!(read("USD", "1.50"), Ok(150));
        assert_eq!(read("JPY", "150"), Ok(150));
        assert_eq!(read("KWD", "1.5"), Ok(1500));
        assert!(read("JPY", "1.50").is_err());
        assert!(read("USD", "1.505").is_err());
        assert!(read("USD", "-1").is_err());
        assert!(read("USD", "100000.01").is_err());
    }

    #[test]
    fn codes_are_unique_and_unknown_ones_are_refused() {
        let mut all: Vec<&str> = [TWO, NONE, THREE, FOUR]
            .iter()
            .flat_map(|l| l.split_whitespace())
            .collect();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
        assert!(all.iter().all(|code| code.len() == 3));
        assert!(find("usd").unwrap_err().help.contains("USD"));
        assert!(find("QQQ").is_err());
    }
}
