//! `setterwright edit FILE --script S -o OUT`.

use super::script::{self, Shop};
use super::{Failure, Opened, Outcome, may_write, open, opened};
use crate::files;
use crate::load::Plan;
use crate::text::cli as say;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Shown under `setterwright edit --help`.
pub(super) const HELP: &str = "\
A script holds one edit a line: a verb and key=value words; # begins a comment. Values with spaces
stand in double quotes. Lengths, temperatures, rates and times may carry a unit (2in, 0.5K/min).
If any line fails, nothing is written.

  load title=\"…\" furnace=SLUG start=2027-03-15 note=\"…\"
  part name=bracket mesh=meshes/bracket.stl unit=mm size=final feedstock=316l-wax body=1
       (or block=45x30x15, disc=20x5, tube=40x34x5, prism=\"0,0 10,0 0,10\" height=5;
       or outline=\"0,0 30,0 30,20\" height=8 mass=11 state=green where nothing else is known;
       mass=57.5 state=green, section=6, oversize=1.17, work-zone-only=yes,
       infill=solid|open|closed shell=1.2, rest=2 or rest=0,-1,0 as below)
  rest part=bracket rest=N|as-drawn|x,y,z keep-off=\"0,0,1\"     (N as `measure --poses` lists them;
       x,y,z is the direction of the drawing that is down; keep-off lists faces by their outward
       directions, divided by ;)
  lot name=A12 part=bracket count=42 enters=dry green=3.1kg dry=2.98kg previous=2.98kg dried=150min
       (enters=green|brown|dry|presintered|sintered, customer=\"…\"; first step: solvent=hexane
       bath=\"bath 1\" bath-temp=40 bath-time=480min wax-g-l=10 basket=1 on-tray=no
       bath-ended=\"2027-03-14 08:00\" solvent-expires=2027-06-30; dryer=60 ventilated=yes,
       acid-purged=yes; weighed green-at=, previous-at=, dry-at=\"2027-03-14 15:00\" balance=SLUG;
       papers feedstock-lot=, feedstock-expires=, certificate=; oversize=1.17 where the lot has its own)
  stack at=0,0
  level setter=SLUG on=hearth            (or on=rim, on=feet feet=10, on=slot slot=2)
  level setter=SLUG on=posts post=SLUG at=\"-85,-85 85,-85 -85,85 85,85\" stack=2
       (stack= here and wherever level= is: counted from 1; without it the stack made or named last,
       at first stack 1)
  repeat-level level=2 times=4
  place part=bracket level=1 x=10 y=20 angle=30 lot=A12 support=SLUG locked=yes
  array part=bracket level=1 columns=4 rows=5 pitch=48x33 lot=A12
  coupon part=bar level=1 label=C1 x=0 y=80
  dummy block=20x20x10 mass=30 material=SLUG level=1
  thermocouple sensor=SLUG level=2 x=0 y=0 height=10
  move item=\"bracket 3\" x=10 y=20 angle=0 level=2       (or dx=, dy=, turn=)
  remove, lock, unlock item=\"bracket 3; bracket 4\"       (or all=bracket)
  support item=\"bracket 3\" with=SLUG|none
  assign item=\"bracket 3\" lot=A12|none
  profile name=\"…\" revision=3 from=25 unload=60
  approve-profile by=\"…\" on=2027-03-14 for=\"SLUG; SLUG\"    (feedstocks; revision= where not the one it has)
  withdraw-approval
  segment rate=2K/min to=450 hold=90min gas=argon flow=10 pressure=50 wait=all-load band=5
          timeout=120min start=\"pump-down 0.1 mbar; purge 5\" end=hydrogen-on   (or time=, full-rate=yes;
          soak= and dwell= are read as hold=; wait=control|any-load|all-load|none,
          wait-during=hold|ramp|both, on-leave=pause|restart; note=\"…\"; at=3 sets it before the third)
  change-part, change-lot, change-level, change-segment, move-level, move-stack
       (name= says which part or lot, level= and segment= which of those, counted from 1)
  remove-part, remove-lot, remove-level, remove-stack, remove-segment
  declare question=SLUG answer=yes by=\"…\" on=2027-03-14        (at=07:30, about=LOT)
  accept check=gap-too-small about=\"bracket 3; bracket 4\" by=\"…\" reason=\"…\" on=2027-03-14
       (about= as the review names things, e.g. \"lot A12\"; role=\"…\" where the shop does regulated work; procedure=\"…\" revision=… for what concerns people)
  withdraw check=gap-too-small about=\"bracket 3\"
  sign role=\"process engineer\" by=\"…\" on=2027-03-14   (any later edit takes signatures off)
  withdraw-signature role=\"process engineer\"
  tried from=2kg to=6kg                                   (charge for which a standard was tried)
  title text=\"…\"    note text=\"…\"    start on=2027-03-15 at=06:00";

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The load file to start from; without it the load starts empty.
    file: Option<PathBuf>,
    /// The script.
    #[arg(long, value_name = "FILE")]
    script: PathBuf,
    /// Where the new load is written; the load itself where it is to be changed in place.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Writes over another load of that name.
    #[arg(long)]
    overwrite: bool,
    /// Uses the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> Outcome {
    let shop = arguments.shop.as_deref();
    let (from, to) = (arguments.file.as_deref(), &arguments.output);
    let in_place = from.is_some_and(|from| files::is_same(from, to));
    may_write(to, None, arguments.overwrite || in_place)?;
    let start = match &arguments.file {
        Some(file) => open(file, shop)?,
        None => empty(shop)?,
    };
    let text = files::read_script(&arguments.script)?;
    // Meshes are named as seen from the script, while it runs those of the load as well.
    let folder = arguments.script.parent().unwrap_or(Path::new(""));
    let own = from.and_then(Path::parent).unwrap_or(folder);
    let before = files::moved(&start.plan, own, folder);
    let against = Shop {
        catalogue: &start.working.catalogue,
        shop: start.working.shop.as_deref(),
        standard: start.working.standard.as_deref(),
        folder,
    };
    let (plan, steps) = script::run(&text, &before, &against).map_err(|fault| {
        Failure::Input(say::script(
            &arguments.script.display().to_string(),
            &fault.to_string(),
        ))
    })?;
    files::save_load_from(folder, to, &plan, &start.working)?;
    for step in &steps {
        writeln!(out, "{step}")?;
    }
    writeln!(
        out,
        "{}",
        say::written(steps.len(), &arguments.output.display().to_string())
    )?;
    Ok(0)
}

/// An empty load in the first furnace of the starting catalogue; the script names another.
pub(super) fn empty(shop: Option<&Path>) -> Result<Opened, Failure> {
    let folder = shop.map(files::read_shop_folder).transpose()?;
    opened(Plan::empty(&first_furnace()), folder.as_ref())
}

/// Slug of the first furnace of the starting catalogue; empty where that is broken, which opening a
/// plan says.
pub fn first_furnace() -> String {
    let built = crate::catalogue::builtin().ok();
    let first = built.and_then(|(built, _)| built.furnaces.keys().next().cloned());
    first.unwrap_or_default()
}
