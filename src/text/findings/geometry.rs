//! Words of the geometry checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "nothing-placed",
        title: "Nothing is placed",
        sentence: "No part stands in the load.",
        why: "Nothing can be said about an empty load.",
        remedy: "Place parts, or open a load.",
    },
    Prose {
        check: "parts-touching",
        title: "Parts touch",
        sentence: "{a} and {b} touch ({stage}).",
        why: "Parts that touch sinter together or deform each other as they shrink.",
        remedy: "Move one of them, turn it, or set the row out again with a wider pitch.",
    },
    Prose {
        check: "gap-too-small",
        title: "Gap too small",
        sentence: "{a} and {b} are {value} apart ({stage}); at least {limit} is wanted. Green they \
                   are {green} apart.",
        why: "Parts grow before they shrink and are set down by hand: a gap this small may close.",
        remedy: "Widen the pitch, or turn one of them.",
    },
    Prose {
        check: "part-over-setter-edge",
        title: "Part over the setter's edge",
        sentence: "{a} reaches {over} over the edge of its setter's usable face ({stage}).",
        why: "What hangs over has no support: it sags, tips the part or breaks off.",
        remedy: "Move it inwards, or take a larger setter.",
    },
    Prose {
        check: "part-near-setter-edge",
        title: "Part near the setter's edge",
        sentence: "{a}{more}: {value} from the edge of the setter's usable face ({stage}); at \
                   least {limit} is wanted.",
        why: "A part set down a little off, or nudged while the setter is carried, hangs over or \
              falls.",
        remedy: "Move the row inwards, or take a larger setter.",
    },
    Prose {
        check: "part-touches-setter-above",
        title: "Part touches the setter above",
        sentence: "{a}{more}: no room under the setter of {to} ({stage}).",
        why: "The setter above then rests on parts instead of its posts: it crushes them, tips or \
              slides.",
        remedy: "Take longer posts, or lay the part down.",
    },
    Prose {
        check: "head-room-low",
        title: "Little room under the setter above",
        sentence: "{a}{more}: {value} below the setter of {to} ({stage}); at least {limit} is \
                   wanted.",
        why: "Gas has to pass over the parts, and plates and posts are not perfectly flat and \
              even.",
        remedy: "Take longer posts.",
    },
    Prose {
        check: "part-touches-roof",
        title: "Part touches the roof",
        sentence: "{a}{more}: no room under the roof of the hot zone ({stage}).",
        why: "The part or the roof breaks, or an element is shorted.",
        remedy: "Take shorter posts, leave a level out, or lay the part down.",
    },
    Prose {
        check: "roof-room-low",
        title: "Little room under the roof",
        sentence: "{a}{more}: {value} below the roof of the hot zone ({stage}); at least {limit} \
                   is wanted.",
        why: "So near to the roof it is hotter or colder than in the middle, and the stack grows \
              as it heats.",
        remedy: "Take shorter posts or leave a level out.",
    },
    Prose {
        check: "part-touches-post",
        title: "Part touches a post",
        sentence: "{a}{more}: touches {to} on its level ({stage}).",
        why: "A post holds the part back while it shrinks, and pushing the part in moves the post.",
        remedy: "Move the part or the posts.",
    },
    Prose {
        check: "part-near-post",
        title: "Part near a post",
        sentence: "{a}{more}: {value} from {to} on its level ({stage}); at least {limit} is \
                   wanted.",
        why: "Parts grow before they shrink and are set down by hand: a gap this small may close.",
        remedy: "Move the part or the posts.",
    },
    Prose {
        check: "part-in-forbidden-spot",
        title: "Part in a forbidden spot",
        sentence: "{a}{more}: stands in the space of the {to} ({stage}).",
        why: "What stands there blocks gas, or touches an element or a probe.",
        remedy: "Move the part or the stack.",
    },
    Prose {
        check: "part-near-thermocouple",
        title: "Part near a thermocouple",
        sentence: "{a}{more}: {value} from thermocouple {to} ({stage}); at least {limit} is \
                   wanted.",
        why: "Beside a cold part it reads low, and the controller overheats the rest of the load.",
        remedy: "Move the part, or leave this place empty.",
    },
    Prose {
        check: "work-zone-only-part-outside",
        title: "Part outside the work zone",
        sentence: "{part}: {count} of {of} reach up to {out} out of the work zone, and every piece \
                   has to stand inside.",
        why: "The survey says nothing about temperatures out there, and this part is not to be run \
              without.",
        remedy: "Move these pieces inwards or to another level.",
    },
    Prose {
        check: "part-outside-work-zone",
        title: "Part outside the work zone",
        sentence: "{part}: {count} of {of} reach up to {out} out of the work zone.",
        why: "The survey says nothing about temperatures out there.",
        remedy: "Move these pieces inwards, or measure them apart after the run.",
    },
    Prose {
        check: "setter-in-forbidden-spot",
        title: "Setter in a forbidden spot",
        sentence: "The setter of {level}{more} stands in the space of the {to}.",
        why: "It blocks gas, or touches an element or a probe.",
        remedy: "Move the stack, or take a smaller setter.",
    },
    Prose {
        check: "setter-outside-hot-zone",
        title: "Setter outside the hot zone",
        sentence: "The setter of {level}{more} reaches {out} out of the hot zone at the peak.",
        why: "A hot setter against insulation or an element sticks, shorts or breaks it.",
        remedy: "Move the stack, or take a smaller setter.",
    },
    Prose {
        check: "setter-near-hot-zone-boundary",
        title: "Setter near the edge of the hot zone",
        sentence: "The setter of {level}{more} comes within {value} of the edge of the hot zone at \
                   the peak; at least {limit} is wanted.",
        why: "A stack is set down by hand, and it may touch an element once it has grown.",
        remedy: "Move the stack, or take a smaller setter.",
    },
    Prose {
        check: "setter-touches-roof",
        title: "Setter touches the roof",
        sentence: "The setter of {level}{more} stands {out} too high for the roof at the peak.",
        why: "It grows against the roof and breaks it, or an element is shorted.",
        remedy: "Take shorter posts, or leave a level out.",
    },
    Prose {
        check: "setters-of-stacks-touch",
        title: "Setters of two stacks touch",
        sentence: "The setter of {level}{more} touches that of {to} at the peak.",
        why: "Setters that touch push each other off their posts as they grow.",
        remedy: "Move the stacks apart, or take smaller setters.",
    },
    Prose {
        check: "unknown-record",
        title: "A record is not in the catalogue",
        sentence: "There is no {kind} \"{id}\", which {by} asks for{candidates}.",
        why: "Without the record nothing can be drawn or judged that depends on it.",
        remedy: "Choose another, or add the record to the shop's catalogue.",
    },
    Prose {
        check: "level-not-carried",
        title: "Nothing carries the level",
        sentence: "Nothing holds {level}: {why}.",
        why: "Its height is not known, so nothing above it can be judged, and it cannot be built.",
        remedy: "Choose another carrier for the level, or another setter below.",
    },
    Prose {
        check: "load-thermocouple-unknown",
        title: "The furnace has no such thermocouple",
        sentence: "{furnace} has no load thermocouple \"{sensor}\"{candidates}.",
        why: "A thermocouple that is not plugged in is not read, and a program that waits for it \
              does not go on.",
        remedy: "Choose one of the furnace's load thermocouples, or add it to the furnace's \
                 record.",
    },
    Prose {
        check: "section-too-thick",
        title: "Section too thick",
        sentence: "{part}: its section is {value} green; more than {limit} needs a slow profile \
                   that was agreed ({count} pieces).",
        why: "Binder from the middle has too far to go: the part blisters, cracks or keeps carbon.",
        remedy: "Core the part out, or agree a slow profile for it and accept this finding with \
                 that reason.",
    },
    Prose {
        check: "section-thick",
        title: "Thick section",
        sentence: "{part}: its section is {value} green, more than {limit} ({count} pieces).",
        why: "Binder leaves a thick section slowly, so the profile has to go by it.",
        remedy: "Check first step, ramp and hold for this section.",
    },
    Prose {
        check: "mesh-open",
        title: "The mesh is open",
        sentence: "{part}: {count} edges of its mesh belong to one face only.",
        why: "Where a mesh is not closed its volume, and with it every mass, cannot be trusted.",
        remedy: "Mend the mesh where it was drawn and import it again, or weigh a piece and enter \
                 its mass.",
    },
    Prose {
        check: "mesh-crossing",
        title: "Surfaces of the mesh cross",
        sentence: "{part}: its mesh has shells that pass through others or themselves, or lie in \
                   what others fill: {count} in all.",
        why: "What lies in two shells counts twice: volume, and with it every mass, cannot be \
              trusted, and the section is not known.",
        remedy: "Unite the bodies where they were drawn and import the mesh again, or weigh a \
                 piece and enter its mass and its section.",
    },
    Prose {
        check: "section-stated-thinner",
        title: "Section stated below the one measured",
        sentence: "{part}: {stated} is stated for its section, {measured} is measured, both green.",
        why: "Ramps and holds go by the stated one; a section said too thin permits a faster ramp.",
        remedy: "Look at the part's picture, where the thickest place is marked; clear the stated \
                 section to go by that.",
    },
    Prose {
        check: "section-stated-far-thinner",
        title: "Stated section cannot be so",
        sentence: "{part}: {stated} is stated for its section, {measured} is measured, both green.",
        why: "Ramps and holds go by the stated one: parts would be heated as if they were a sheet, \
              and blister or crack.",
        remedy: "Clear the stated section to go by the measured one, or correct it.",
    },
    Prose {
        check: "size-of-another-unit",
        title: "Size as of another unit",
        sentence: "{part} is {longest} long as drawn; by a slip of units it would be {likelier}.",
        why: "Inches read as millimetres, or the other way, make everything that is worked out of \
              the part wrong.",
        remedy: "Look at the drawing; import the mesh again with its own unit. Accept this where \
                 the size is right.",
    },
    Prose {
        check: "rests-on-kept-off-face",
        title: "Rests on a face that is kept off",
        sentence: "{part} rests on a face that is to be kept off the setter.",
        why: "What lies on the setter is marked and drags.",
        remedy: "Choose another pose for it (How it rests…).",
    },
    Prose {
        check: "mesh-degenerate",
        title: "Triangles without area",
        sentence: "{part}: {count} triangles of its mesh have no area.",
        why: "They do no harm here, but they show that the file was converted roughly.",
        remedy: "Export the mesh again with a finer setting if it looks wrong.",
    },
    Prose {
        check: "outline-and-mass-only",
        title: "Outline and mass only",
        sentence: "{part} is known by its outline, its height and its mass only.",
        why: "Its volume, its section, its foot and its centre of mass are not known, and what \
              needs them is not evaluated.",
        remedy: "Import its mesh, or state its governing section.",
    },
    Prose {
        check: "closed-infill",
        title: "Closed infill",
        sentence: "{part} has infill within a closed shell of {shell}.",
        why: "The shell gives off to one side only, and solvent and gas within it are trapped.",
        remedy: "Print it with open infill or a vent, or prolong first step, drying and debinding \
                 by trial and weighing.",
    },
];
