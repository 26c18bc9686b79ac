#[path = "plans.rs"]
mod plans;
use setterwright::catalogue::builtin;
use setterwright::review::*;
fn main() {
    let (c, s) = builtin().unwrap();
    for (name, plan) in plans::all() {
        let r = review(&Given { plan: &plan, catalogue: &c, shop: Some(&s), differences: &[] });
        println!("== {name}: {} next {} time {:?} ran {} stops {} cautions {} notes {}", plan.title, plan.next_id,
            plan.profile.curve(None).map(|c| c.total_time_min()/60.0), r.ran, r.open_stops(), r.open(setterwright::catalogue::Severity::Caution), r.open(setterwright::catalogue::Severity::Note));
        for l in &plan.lots { println!("   lot {} {} green {:?} dry {:?}", l.name, l.count, l.green_g, l.dry_g); }
        for p in &plan.parts { println!("   part {} section {:?} size {:?} anchor {:?}", p.name, p.section_mm, p.geometry.size_mm, p.geometry.anchor_mm); }
        let furnace = c.furnace(&plan.load.furnace).unwrap();
        let t = setterwright::load::tally(&plan, &c, Some(furnace), &setterwright::load::Sizes::new(&plan,&c));
        println!("   whole {:?} fill {:?} height {:?} rating {:?}", t.whole, t.area_fill(), t.height_fill, t.rating_fill);
        let mut seen = std::collections::BTreeMap::new();
        for f in &r.findings {
            let n = seen.entry(f.check).or_insert(0); *n += 1;
            if *n <= 4 { println!("   {:?} {} {:?} {:?} {}", f.severity, f.check, f.subjects.iter().map(|s| s.label(&plan)).collect::<Vec<_>>(), f.measured.map(|m| m.printed()), setterwright::text::findings::prose(f.check).map(|p| setterwright::text::findings::fill(p.sentence, &f.args)).unwrap_or_default()); }
        }
        for (k, n) in seen { println!("   {n} x {k}"); }
        for m in r.missing.iter().take(60) { println!("   ? {} {:?} {}", m.check, m.subjects.iter().map(|s| s.label(&plan)).collect::<Vec<_>>(), m.what); }
    }
}
