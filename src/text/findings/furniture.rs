//! Words of the furniture checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "setter-temperature",
        title: "Setter near or over its rated temperature",
        sentence: "{name} is rated {rated}, and it gets up to {hot} hot: {value} below; at least \
                   {limit} is wanted.",
        why: "Ceramics creep, crack or react above what they are rated for.",
        remedy: "Take setters and posts of a higher rating, or lower the peak.",
    },
    Prose {
        check: "setter-material-refused",
        title: "Wrong material under the alloy",
        sentence: "{part} touches {material} ({count} pieces), and {why}.",
        why: "At peak the two react: they stick, melt together, or the part takes up what it must \
              not have.",
        remedy: "Take another setter or face, or put an allowed sheet or powder between.",
    },
    Prose {
        check: "silica-in-dry-hydrogen",
        title: "Silica under hydrogen",
        sentence: "{material} holds {value} of silica and stands in hydrogen at up to {hottest}; \
                   above {from} at most {limit} is wanted.",
        why: "Dry hydrogen takes silica out of the ceramic: it weakens, and silicon goes into the \
              parts.",
        remedy: "Take high-purity alumina, or run without hydrogen there.",
    },
    Prose {
        check: "too-few-posts",
        title: "Too few posts",
        sentence: "Under {level} stand {value} posts; at least {limit} are wanted.",
        why: "A plate on fewer posts rocks or falls.",
        remedy: "Add posts.",
    },
    Prose {
        check: "posts-not-in-line",
        title: "Posts not in line",
        sentence: "Under {level} {count} posts stand off the posts below, by up to {value}; \
                   {limit} is allowed.",
        why: "What a post carries then bends the plate below instead of going straight down.",
        remedy: "Set the posts of all levels at the same places.",
    },
    Prose {
        check: "post-too-slim",
        title: "Post too slim",
        sentence: "{post}: {value} times as long as wide; up to {limit} is allowed ({count} \
                   posts).",
        why: "A slim post topples when the plate shifts as it grows.",
        remedy: "Take a thicker post, or two shorter levels.",
    },
    Prose {
        check: "post-outside-setter",
        title: "Post over the edge of a setter",
        sentence: "Under {level} a post reaches {over} over the plate that it carries or stands \
                   on, or over its rim.",
        why: "A post that does not stand fully on the plate slips off it.",
        remedy: "Move the posts inwards.",
    },
    Prose {
        check: "setters-out-of-stock",
        title: "Setters out of stock",
        sentence: "The load takes {value} of {kind} {id}; the shop has {limit}.",
        why: "It cannot be built.",
        remedy: "Take other setters, or leave levels out.",
    },
    Prose {
        check: "posts-out-of-stock",
        title: "Posts out of stock",
        sentence: "The load takes {value} of {kind} {id}; the shop has {limit}.",
        why: "It cannot be built.",
        remedy: "Take posts of another length, or fewer to a level.",
    },
    Prose {
        check: "supports-out-of-stock",
        title: "Supports out of stock",
        sentence: "The load takes {value} of {kind} {id}; the shop has {limit}.",
        why: "It cannot be built.",
        remedy: "Take another support, or fewer pieces.",
    },
    Prose {
        check: "furniture-heavy",
        title: "Much furniture for the parts",
        sentence: "Setters and posts weigh {furniture} and the parts {parts}: {value} times as \
                   much; more than {limit} is worth a look.",
        why: "Furniture takes time and energy to heat and earns nothing.",
        remedy: "Take thinner setters, or put more on each.",
    },
    Prose {
        check: "level-heavy-to-lift",
        title: "Level heavy to lift",
        sentence: "With its setter {level} weighs {value}; above {limit} it takes two people or a \
                   hoist.",
        why: "A heavy plate is dropped or set down hard, and backs suffer.",
        remedy: "Build it up in the furnace, lift it together, or use a hoist.",
    },
    Prose {
        check: "part-may-roll",
        title: "Part may roll",
        sentence: "{part} rests on {on} ({count} pieces).",
        why: "It rolls or tips over as soon as the setter is tilted or carried.",
        remedy: "Choose a pose that rests on a face (they are listed with the part, and by `measure \
                 --poses`), or use a setter with a groove.",
    },
    Prose {
        check: "part-falls-over",
        title: "Part falls over",
        sentence: "{part}: its centre of mass lies {out} outside its foot ({count} pieces).",
        why: "It does not stand even on a level setter.",
        remedy: "Stand it another way, or support it.",
    },
    Prose {
        check: "part-too-slender",
        title: "Part too slender",
        sentence: "{part}: {value} times as high as its foot is wide; more than {limit} does not \
                   stand by itself ({count} pieces).",
        why: "A bump while carrying, or the gas, topples it, and it takes its neighbours along.",
        remedy: "Lay it down, or nest it in a support.",
    },
    Prose {
        check: "part-may-tip",
        title: "Part may tip",
        sentence: "{part}: {what} {value}, against {limit} ({count} pieces).",
        why: "A bump while carrying, or the gas, may topple it, and it takes its neighbours along.",
        remedy: "Lay it down, set it in powder, or put it in the middle of the setter.",
    },
    Prose {
        check: "foot-narrow",
        title: "Narrow foot",
        sentence: "{part}: its foot is {value} wide when sintered; at least {limit} is wanted \
                   ({count} pieces).",
        why: "On a narrow foot the part dents and leans while it is hot and soft.",
        remedy: "Stand it on another face, or put a sheet or a raft under it.",
    },
    Prose {
        check: "centre-of-mass-outside-posts",
        title: "Centre of mass outside the posts",
        sentence: "The posts under {level} do not hold what they carry, {mass}: {how}.",
        why: "It falls when the last hand is off it.",
        remedy: "Move posts outwards, or move parts to the other side.",
    },
    Prose {
        check: "centre-of-mass-near-post-edge",
        title: "Centre of mass near the edge of the posts",
        sentence: "The centre of mass over the posts of {level} is {value} of the way in from \
                   their edge to their middle; at least {limit} is wanted.",
        why: "A part set down a little off, or one missing, tips the plate.",
        remedy: "Move posts outwards, or move parts to the other side.",
    },
    Prose {
        check: "stack-out-of-balance",
        title: "Stack out of balance",
        sentence: "The centre of mass of {stack} ({levels} levels, {mass}) lies {value} of the way \
                   from the middle of its base to the edge; up to {limit} is allowed.",
        why: "It leans as it grows and may tip into the elements.",
        remedy: "Move parts to the light side, or posts outwards.",
    },
    Prose {
        check: "mass-over-setter-rating",
        title: "Setter over its rated mass",
        sentence: "The setter of {level} carries {value}, and {setter} is rated {limit}.",
        why: "An overloaded plate creeps at peak, bows and cracks.",
        remedy: "Spread the parts over more levels, or take a thicker setter.",
    },
    Prose {
        check: "plate-stress-too-high",
        title: "Plate bends too much",
        sentence: "The setter of {level} is bent to {value} at {at}; more than {limit} is not run. \
                   Worked out as: {formula}.",
        why: "At peak the ceramic creeps: the plate sags onto what is below, or breaks.",
        remedy: "Move posts so that spans are shorter, add a post, take a thicker plate, or spread \
                 the mass.",
    },
    Prose {
        check: "plate-stress-high",
        title: "Plate bends",
        sentence: "The setter of {level} is bent to {value} at {at}, more than {limit}. Worked out \
                   as: {formula}.",
        why: "At peak the ceramic creeps a little each run, and parts copy the bow.",
        remedy: "Turn the plates over each run, shorten the spans, or take a thicker plate.",
    },
];
