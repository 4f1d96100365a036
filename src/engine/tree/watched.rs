//! Whole searches watched from inside: what closed parts of the tree, and whether any bound cuts
//! the best week.

#[cfg(test)]
mod tests {
    use crate::engine::answer::Limits;
    use crate::engine::bound::verdict::{BoundId, Closed, Origin};
    use crate::engine::bound::witness::Witness;
    use crate::engine::model::samples::{alone, kitchen, numbers, varied};
    use crate::engine::stage::Stage;
    use crate::engine::threads::threads;
    use crate::engine::tree::given::Given;
    use crate::engine::tree::ready::Ready;
    use crate::engine::tree::searched::Searched;
    use crate::engine::tree::staging::{first_ceilings, make_stage};
    use crate::larder::Larder;

    const KITCHENS: [&str; 9] = [
        "stored/everything",
        "stored/nutrition",
        "stored/repeats",
        "stored/sameness",
        "stored/stock-on-hand",
        "stored/budget-and-preferences",
        "stored/two-trips",
        "stored/cap-and-forms",
        "stored/bans-and-pins",
    ];

    fn searched<T>(
        larder: &Larder,
        given: &Given,
        limits: &Limits,
        look: impl FnOnce(&mut Stage) -> T,
    ) -> (Searched, T, Option<Witness>) {
        let ready = Ready::new(larder, &|| false);
        let mut ceilings = first_ceilings(larder);
        given.lower(&mut ceilings);
        let mut stage = make_stage(ready.laid(), None, ceilings, given, limits);
        let made = look(&mut stage);
        let threads = threads(limits).expect("threads");
        let searched = threads.install(|| stage.run(None));
        (searched, made, stage.witness.take())
    }

    /// The best week is carried through a search that may find no better one: no bound cuts it, and
    /// a wrong one is named.
    #[test]
    fn no_bound_cuts_the_best_week() {
        let mut next = numbers(11);
        let limits = alone();
        let (mut reached, mut planted) = (0, 0);
        for name in KITCHENS {
            let sound = kitchen(name);
            for _ in 0..8 {
                let larder = varied(&sound, &mut next);
                let (first, ..) = searched(&larder, &Given::default(), &limits, |_| ());
                let Some(best) = first.best else { continue };
                assert_eq!(first.open_bound, None, "{name}");
                let objective = best.score.objective;
                let given = Given {
                    objective_most_nano: Some(objective),
                    ..Given::default()
                };
                let watch = |more: i64| {
                    let week = best.items.clone();
                    let asked = move |stage: &mut Stage| {
                        stage.witness = Some(Witness::new(&week, more));
                    };
                    let (_, (), witness) = searched(&larder, &given, &limits, asked);
                    witness.expect("put there")
                };
                let witness = watch(0);
                let cut = witness.cut();
                assert!(cut.is_none(), "{name}: {cut:?} of {:?}", best.items);
                assert!(witness.reached(), "{name}: {:?}", best.items);
                reached += 1;
                let cut = watch(objective.abs() + 1).cut().expect("a wrong bound");
                assert_eq!(cut.by, BoundId::Floors, "{name}: {cut:?}");
                assert!(cut.chosen.is_empty(), "{name}: {cut:?}");
                let there = |item: &u32| cut.candidates.contains(item);
                assert!(best.items.iter().all(there), "{name}: {cut:?}");
                planted += 1;
            }
        }
        assert!(reached > 30 && planted > 30, "{reached} {planted}");
    }

    /// What closed parts of the tree is the same for any number of threads.
    #[test]
    fn counts_are_the_same_for_any_number_of_threads() {
        for name in ["boatyard", "stored/everything", "stored/bans-and-pins"] {
            let larder = kitchen(name);
            let with = |threads: usize| {
                let limits = Limits { threads, ..alone() };
                let (searched, ..) = searched(&larder, &Given::default(), &limits, |_| ());
                (searched.verdicts, searched.origin, searched.nodes)
            };
            let (verdicts, origin, nodes) = with(1);
            assert_eq!(with(3), (verdicts.clone(), origin, nodes), "{name}");
            assert!(verdicts.closed(Closed::Settled) > 0, "{name}");
            let origin = origin.expect("a week");
            assert!(verdicts.improved(origin) > 0, "{name}");
            let improved = Origin::ALL.map(|from| verdicts.improved(from));
            assert!(improved.iter().sum::<u64>() > 0, "{name}");
        }
    }

    /// Tells what closed parts of the tree, on the demo and on the kitchen in the folder that
    /// `SCANT_KITCHEN` names. The engine prints nothing, in tests neither: the table is what the test
    /// ends with.
    #[test]
    #[ignore = "a table to read"]
    fn what_each_bound_closed() {
        let mut kitchens = vec![("the demo".to_owned(), kitchen("boatyard"))];
        if let Some(folder) = std::env::var_os("SCANT_KITCHEN") {
            let read = crate::kitchen::read_dir(folder.as_ref());
            let larder = read.larder.expect("a kitchen without a fault");
            kitchens.push((folder.to_string_lossy().into_owned(), larder));
        }
        let tables = kitchens.into_iter().map(|(name, larder)| {
            let (searched, ..) = searched(&larder, &Given::default(), &alone(), |_| ());
            let (nodes, table, origin) =
                (searched.nodes, searched.verdicts.table(), searched.origin);
            format!("{name}: {nodes} nodes\n{table}best: {origin:?}\n")
        });
        let tables: String = tables.collect();
        panic!("no fault, a table:\n{tables}");
    }
}
