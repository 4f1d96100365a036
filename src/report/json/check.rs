//! What `check` finds as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::kitchen::{Fault, PutIn, Read};

/// What reading a kitchen gave.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CheckReport {
    /// The kitchen can be planned with: there is no fault.
    pub sound: bool,
    /// The kitchen's name; null where there is a fault.
    pub kitchen: Option<String>,
    /// How many there are of what follows, whether or not each is told.
    pub counts: CountsShape,
    /// What has to be mended, in file and line order, of each kind the first few.
    pub faults: Vec<FindingShape>,
    /// What is allowed but looks wrong.
    pub warnings: Vec<FindingShape>,
    /// Keeping times that are longer than the published ones.
    pub keeping_times: Vec<FindingShape>,
    /// Keeping times that the files leave out, or mark as assumed.
    pub put_in: Vec<PutInShape>,
}

/// How many there are.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct CountsShape {
    /// Faults.
    pub faults: usize,
    /// Warnings, keeping times apart.
    pub warnings: usize,
    /// Keeping times that are longer than the published ones.
    pub keeping_times: usize,
}

/// A fault or a warning.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FindingShape {
    /// Name of the file; null if it concerns the kitchen as a whole.
    pub file: Option<String>,
    /// Line, from 1; null if no line is to blame.
    pub line: Option<usize>,
    /// Column in characters, from 1.
    pub column: Option<usize>,
    /// Byte in the file at which what is to blame begins.
    pub offset: usize,
    /// How many bytes it has.
    pub length: usize,
    /// What is wrong.
    pub what: String,
    /// What to write instead.
    pub remedy: String,
    /// Further ones of this kind that are not told one by one.
    pub more: usize,
    /// The first places of those, as file:line:column.
    pub more_at: Vec<String>,
}

/// A keeping time that nobody wrote, or that is marked as assumed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct PutInShape {
    /// Name of the file.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// The food or component.
    pub name: String,
    /// The pack option; null for a component.
    pub pack: Option<String>,
    /// The key: keeps or open_keeps.
    pub key: String,
    /// Days.
    pub days: i64,
    /// Where it keeps so long, in words; null for an assumed figure.
    pub place: Option<String>,
    /// Whose figure it is; null for an assumed figure: common practice, no source.
    pub source: Option<String>,
}

impl From<&Fault> for FindingShape {
    fn from(fault: &Fault) -> Self {
        let placed = |at: usize| (at > 0).then_some(at);
        Self {
            file: (!fault.file.is_empty()).then(|| fault.file.clone()),
            line: placed(fault.line),
            column: placed(fault.column),
            offset: fault.span.0,
            length: fault.span.1,
            what: fault.what.clone(),
            remedy: fault.help.clone(),
            more: fault.more.count,
            more_at: fault.more.places.clone(),
        }
    }
}

impl From<&PutIn> for PutInShape {
    fn from(put_in: &PutIn) -> Self {
        let published = put_in.published.as_ref();
        Self {
            file: put_in.file.clone(),
            line: put_in.line,
            name: put_in.name.clone(),
            pack: (!put_in.pack.is_empty()).then(|| put_in.pack.clone()),
            key: put_in.key.to_owned(),
            days: put_in.days,
            place: published.map(|(place, _)| (*place).to_owned()),
            source: published.map(|(_, source)| source.clone()),
        }
    }
}

/// Returns what a reading gave.
pub(super) fn report(read: &Read) -> CheckReport {
    let told = |list: &[Fault]| list.iter().map(FindingShape::from).collect();
    CheckReport {
        sound: read.larder.is_some() && read.faults.is_empty(),
        kitchen: read.larder.as_ref().map(|larder| larder.name.clone()),
        counts: CountsShape {
            faults: read.tally.faults,
            warnings: read.tally.warnings,
            keeping_times: read.tally.times,
        },
        faults: told(&read.faults),
        warnings: told(&read.warnings),
        keeping_times: told(&read.times),
        put_in: read.put_in.iter().map(PutInShape::from).collect(),
    }
}
