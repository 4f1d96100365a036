//! What a rule asks, and what is found against it.

/// A rule a plan breaks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Stable code of the rule, e.g. `past-keeping-time`.
    pub code: &'static str,
    /// What is wrong, in the user's terms.
    pub detail: String,
}

/// What a rule is about, for documents.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RuleDoc {
    /// Stable code; reads in a sentence: "refused because it is `over-budget`".
    pub code: &'static str,
    /// What the rule asks of a week.
    pub asks: &'static str,
    /// How a cook loosens it; for rules of plain sense, why one cannot.
    pub loosen: &'static str,
}

/// What has been found so far.
#[derive(Debug, Default)]
pub(super) struct Findings(Vec<Finding>);

impl Findings {
    pub(super) fn add(&mut self, rule: &RuleDoc, detail: String) {
        self.0.push(Finding {
            code: rule.code,
            detail,
        });
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Hands over what was found, in the order in which it was.
    pub(super) fn all(self) -> Vec<Finding> {
        self.0
    }
}
