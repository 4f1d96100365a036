//! What a session keeps of answers so that the next one comes sooner: answers themselves, for what is
//! asked again; lists of the weeks near a best one, for questions that only shut weeks out; the best weeks by
//! the values of a limit, for questions that set it anew.
//!
//! None of it changes an answer. An answer is kept only if it is proved, and is what asking again would
//! give, byte for byte: the engine goes by no clock. A list is of a question whose weeks are all there
//! are for the new one and more, no dearer there (`engine/tree/near_weeks.rs` has the proof); what it
//! does not reach is searched for. A limit's best week by value is that of a walk down its values
//! (`tradeoffs/edges.rs`), all else asked the same. All are of one reading of the files.

use std::sync::Arc;

use super::asking::{Asking, DIALS, Dial, Word};
use super::found::Found;
use crate::engine::NearWeeks;
use crate::explain::Verdict;
use crate::larder::Larder;
use crate::tradeoffs::Walk;

/// Answers and lists that are kept: the ones used last.
const MOST_ANSWERS: usize = 40;
const MOST_LISTS: usize = 4;
const MOST_WALKS: usize = 40;

/// A list further than this part of its question's best objective beyond the best week of a narrower
/// question is far enough for what may follow that one.
const FAR_PART: i64 = 24;

/// A list and what it is of.
#[derive(Clone, Debug)]
struct Listed {
    asking: Asking,
    larder: Larder,
    near: Arc<NearWeeks>,
}

/// What was found so far, the ones used last at the end.
#[derive(Clone, Debug, Default)]
pub(super) struct Store {
    answers: Vec<(Asking, Arc<Found>)>,
    lists: Vec<Listed>,
    /// By what is asked beside the limit.
    walks: Vec<(Asking, Dial, Arc<Walk>)>,
}

impl Store {
    /// Keeps an answer, if it is proved and nothing of it was cut short.
    pub(super) fn keep(&mut self, asking: &Asking, found: &Found) {
        let proved = matches!(found.told.verdict, Verdict::Best | Verdict::Impossible);
        if !proved || !found.whole {
            return;
        }
        self.answers.retain(|(of, _)| of != asking);
        self.answers.push((asking.clone(), Arc::new(found.clone())));
        let more = self.answers.len().saturating_sub(MOST_ANSWERS);
        self.answers.drain(..more);
    }

    /// Returns what is known to answer a question.
    pub(super) fn answer(&mut self, asking: &Asking) -> Option<Arc<Found>> {
        let at = self.answers.iter().position(|(of, _)| of == asking)?;
        let known = self.answers.remove(at);
        let found = Arc::clone(&known.1);
        self.answers.push(known);
        Some(found)
    }

    /// The same, without counting as a use.
    pub(super) fn known(&self, asking: &Asking) -> Option<Arc<Found>> {
        let known = self.answers.iter().find(|(of, _)| of == asking)?;
        Some(Arc::clone(&known.1))
    }

    /// Keeps a list.
    pub(super) fn list(&mut self, asking: &Asking, larder: &Larder, near: NearWeeks) {
        self.lists.push(Listed {
            asking: asking.clone(),
            larder: larder.clone(),
            near: Arc::new(near),
        });
        let more = self.lists.len().saturating_sub(MOST_LISTS);
        self.lists.drain(..more);
    }

    /// Returns the list that reaches furthest of those that hold every week of a question.
    pub(super) fn near(&self, asking: &Asking, larder: &Larder) -> Option<Arc<NearWeeks>> {
        let holds = |list: &&Listed| only_shuts_out((&list.asking, &list.larder), (asking, larder));
        let lists = self.lists.iter().filter(holds);
        let furthest = lists.max_by_key(|list| list.near.below_nano())?;
        Some(Arc::clone(&furthest.near))
    }

    /// Keeps how far a walk down a limit has come; `asking` is plain, and says nothing of the limit.
    pub(super) fn walked(&mut self, asking: &Asking, dial: Dial, walk: Walk) {
        self.walks
            .retain(|(of, limit, _)| (of, *limit) != (asking, dial));
        self.walks.push((asking.clone(), dial, Arc::new(walk)));
        let more = self.walks.len().saturating_sub(MOST_WALKS);
        self.walks.drain(..more);
    }

    /// Returns how far the walk down a limit has come.
    pub(super) fn walk(&self, asking: &Asking, dial: Dial) -> Option<Arc<Walk>> {
        let mut walks = self.walks.iter();
        let known = walks.find(|(of, limit, _)| (of, *limit) == (asking, dial))?;
        Some(Arc::clone(&known.2))
    }

    /// Whether a list reaches far enough beyond a question's best week.
    pub(super) fn reaches(&self, asking: &Asking, larder: &Larder, best_nano: i64) -> bool {
        let far = best_nano.saturating_add((best_nano / FAR_PART).abs());
        let near = self.near(asking, larder);
        near.is_some_and(|near| near.below_nano() >= far)
    }
}

/// Whether a question allows no week that the wider one does not, and changes no figure of any.
///
/// Proof. Both are of the same files, so they differ in what is asked alone. The eaters are the same.
/// Each limit is as it was or lower on every day, a limit where there was none included. All that was
/// left out still is; all that had to be there has to, on whatever day or, now, on one.
fn only_shuts_out(wide: (&Asking, &Larder), narrow: (&Asking, &Larder)) -> bool {
    let within = |dial: &Dial| {
        let (was, is) = (dial.by_day(wide.1), dial.by_day(narrow.1));
        was.len() == is.len()
            && was.iter().zip(&is).all(|(was, is)| match dial {
                Dial::Eaters => was == is,
                Dial::Foods
                | Dial::Budget
                | Dial::PrepMinutes
                | Dial::DayMinutes
                | Dial::KitchenMinutes => was.is_none_or(|was| is.is_some_and(|is| is <= was)),
            })
    };
    let still = |(name, was): (&String, &Word)| match (was, narrow.0.words.get(name)) {
        (_, None) => false,
        (Word::Have(None), Some(Word::Have(_))) => true,
        (was, Some(is)) => was == is,
    };
    DIALS.iter().all(within) && wide.0.words.iter().all(still)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::live::asking::Change;

    fn kitchen() -> Larder {
        let text = "kitchen: k
currency: USD
week: { lunches: 2, carry_day: 5, eaters: 2 }
foods:
  - { food: rice, table: \"20036\", packs: [{ pack: bag, size: 500 g, price: 2.00, keeps: 300, open_keeps: 300 }] }
  - { food: carrots, table: \"11124\", packs: [{ pack: bag, size: 500 g, price: 0.90, keeps: 20, open_keeps: 10 }] }
recipes:
  - { recipe: bowl of rice, form: bowl, minutes: 5, lines: [{ food: rice, amount: 100 g }] }
  - { recipe: carrots raw, form: salad, minutes: 8, lines: [{ food: carrots, amount: 80 g }] }
rules: { budget: 9.00, minutes: { each_day: 15, Tuesday: 10 } }
";
        let read =
            crate::kitchen::read_texts(vec![("k.yaml".to_owned(), text.as_bytes().to_vec())]);
        read.larder.expect("a sound kitchen")
    }

    fn asking(changes: &[Change]) -> Asking {
        let first = Asking::default();
        changes
            .iter()
            .fold(first, |asking, change| asking.with(change))
    }

    /// Every way in which one question may be wider than another or not.
    #[test]
    fn a_list_is_for_questions_that_only_shut_out() {
        let plain = kitchen();
        let dial = |dial, value| Change::Dial(dial, Some(value));
        let word = |word| Change::Word("rice".to_owned(), Some(word));
        let on = |day: &str| word(Word::Have(Some(day.to_owned())));
        let rows: [(&[Change], &[Change], bool); 16] = [
            (&[], &[], true),
            (&[], &[word(Word::Leave)], true),
            (&[word(Word::Leave)], &[], false),
            (&[], &[word(Word::Have(None))], true),
            (&[word(Word::Have(None))], &[on("Monday")], true),
            (&[on("Monday")], &[word(Word::Have(None))], false),
            (&[on("Monday")], &[on("Tuesday")], false),
            (&[word(Word::Leave)], &[word(Word::Have(None))], false),
            (&[], &[dial(Dial::Foods, 3)], true),
            (&[dial(Dial::Foods, 3)], &[], false),
            (&[], &[dial(Dial::Budget, 800)], true),
            (&[], &[dial(Dial::Budget, 901)], false),
            (&[], &[dial(Dial::DayMinutes, 10)], true),
            // Ten minutes on the second day before, twelve now.
            (&[], &[dial(Dial::DayMinutes, 12)], false),
            (&[], &[dial(Dial::Eaters, 3_000)], false),
            (&[], &[dial(Dial::Eaters, 2_000)], true),
        ];
        for (wide, narrow, holds) in rows {
            let (wide, narrow) = (asking(wide), asking(narrow));
            let of = |asking: &Asking| asking.larder(&plain).expect("it can be asked");
            let held = only_shuts_out((&wide, &of(&wide)), (&narrow, &of(&narrow)));
            assert_eq!(held, holds, "{wide:?} {narrow:?}");
        }
    }
}
