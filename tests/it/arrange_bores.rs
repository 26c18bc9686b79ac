//! Parts in the bores of others: of another feedstock, in thin rings, round what stays.

use crate::arrange::asked;
use crate::cli::run;
use setterwright::files::read_load;
use std::path::Path;

const REST: &str = "profile name=p revision=1 from=25 unload=60
segment rate=1K/min to=450 hold=90min gas=argon flow=10 pressure=50
segment rate=4K/min to=1345 hold=60min gas=argon flow=2 pressure=98
segment rate=4K/min to=60 gas=argon flow=0 pressure=800
";
const HEAD: &str = "load title=Bores furnace=small-vacuum-box start=2026-11-25\n";
const LARGE: &str = "level setter=alumina-square-250x6 on=posts post=alumina-post-16x30 \
                     at=\"-100,-112 100,-112 -100,112 100,112\"\n";
const SMALL: &str = "level setter=alumina-square-100x4 on=posts post=alumina-post-16x30 \
                     at=\"-40,-40 40,-40 -40,40 40,40\"\n";

/// Pieces that stand once a load of these lines is arranged, and what was said.
fn arranged(lines: &str, options: &[&str]) -> (usize, String) {
    let dir = tempfile::tempdir().unwrap();
    let path = |name: &str| dir.path().join(name).display().to_string();
    let (script, from, to) = (path("s.script"), path("a.load.ron"), path("b.load.ron"));
    std::fs::write(&script, format!("{HEAD}{lines}{REST}")).unwrap();
    let made = run(&["edit", "--script", &script, "-o", &from]);
    assert_eq!(made.code, 0, "{}", made.err);
    let ran = asked(&from, &to, options);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let plan = read_load(Path::new(&to)).unwrap();
    let all = plan.placements();
    let pieces = all.filter(|(_, p)| p.item.is_production()).count();
    (pieces, ran.out)
}

/// A ring that has shrunk and a disc that has not yet, on a setter that has grown: the gap is smaller
/// than any outline alone shows, and one such piece does not cost the others their places.
#[test]
fn what_is_of_another_feedstock_goes_beside_and_into_a_ring_that_stays() {
    for feedstock in ["316l-wax", "316l-filament"] {
        let lines = format!(
            "part name=ring tube=90x70x12 feedstock=316l-wax size=final oversize=1.17
part name=small disc=20x6 feedstock={feedstock} size=final oversize=1.17
lot name=A part=ring count=1 enters=dry
lot name=B part=small count=30 enters=dry
stack at=0,0
{LARGE}place part=ring level=1 x=0 y=0 lot=A locked=yes
place part=small level=1 x=90 y=0 lot=B
"
        );
        let options = ["--scope", "gaps", "--without-forecast", "--budget", "60000"];
        let (pieces, said) = arranged(&lines, &options);
        assert_eq!(pieces, 31, "{said}");
        assert!(said.contains("no stop and no caution"), "{said}");
    }
}

/// On a setter of 100 mm nothing goes beside a ring of 72 mm as sintered: it goes around what stands in
/// the middle, where something that is set out may go into it as well.
#[test]
fn a_ring_goes_round_what_stays() {
    let lines = format!(
        "part name=ring tube=72x50x10 feedstock=316l-wax size=final oversize=1.17
part name=small disc=8x5 feedstock=316l-wax size=final oversize=1.17
lot name=R part=ring count=2 enters=dry
lot name=D part=small count=3 enters=dry
stack at=0,0
{LARGE}{SMALL}place part=ring level=1 x=0 y=0 lot=R locked=yes
place part=small level=1 x=80 y=0 lot=D locked=yes
place part=small level=2 x=0 y=0 lot=D locked=yes
"
    );
    let options = ["--scope", "level", "--level", "2"];
    let more = ["--without-forecast", "--budget", "20000"];
    let (pieces, said) = arranged(&lines, &[&options[..], &more].concat());
    assert_eq!(pieces, 5, "{said}");
}

/// A ring whose wall is thinner than it shrinks stands round a disc, 27 mm from it: that is not too near.
#[test]
fn a_thin_ring_round_what_stays_is_not_too_near_to_it() {
    let lines = format!(
        "part name=ring tube=72x62x10 feedstock=316l-wax size=final oversize=1.17
part name=small disc=8x5 feedstock=316l-wax size=final oversize=1.17
lot name=R part=ring count=1 enters=dry
lot name=D part=small count=2 enters=dry
stack at=0,0
{LARGE}place part=small level=1 x=0 y=0 lot=D locked=yes
place part=ring level=1 x=0 y=0 lot=R
"
    );
    let options = ["--scope", "level", "--level", "1"];
    let more = ["--without-forecast", "--budget", "20000"];
    let (pieces, said) = arranged(&lines, &[&options[..], &more].concat());
    assert_eq!(pieces, 3, "{said}");
    assert!(!said.contains("too near"), "{said}");
}
