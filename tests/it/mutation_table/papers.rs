//! Approvals of the profile, hours at which somebody is there, and slips in the shop's state.

use super::{Row, argon, bases, hydrogen, row, taken};
use crate::checks_attended::attended;
use crate::checks_shop_names::place;
use setterwright::catalogue::Severity::{Caution, Note, Stop};

pub fn rows() -> Vec<Row> {
    vec![
        row(
            "profile-not-approved",
            bases::regulated,
            "a profile approved for another feedstock",
            |c| {
                let approval = c.profile().approval.as_mut().unwrap();
                approval.feedstocks = vec!["17-4ph-wax".to_owned()];
            },
        )
        .weighs(Stop)
        .no_between("it is approved for a feedstock or not")
        .missing("approved for one whose record is taken out", |c| {
            c.profile().approval.as_mut().unwrap().feedstocks = vec!["316l-wax".to_owned()];
            taken::feedstock(c);
        }),
        row(
            "profile-changed-since-approval",
            bases::regulated,
            "a hold changed after the approval",
            |c| {
                let edited = c.plan.profile.segments[0].clone();
                let edit =
                    setterwright::load::Edit::ChangeSegment(setterwright::profile::Segment {
                        hold_min: edited.hold_min + 1.0,
                        ..edited
                    });
                let signatures = c.plan.signatures.clone();
                c.plan = edit.apply(&c.plan, &c.catalogue).unwrap();
                c.plan.signatures = signatures;
            },
        )
        .weighs(Stop)
        .no_between("it is as approved or not")
        .missing("a profile without a revision", |c| {
            c.profile().revision.clear()
        }),
        argon(
            "unattended-step",
            "somebody there from 06:00 to 22:00",
            |c| c.shop_mut().attended = attended(&[], "06:00", "22:00"),
        )
        .weighs(Note)
        .inside("somebody there until 04:59, when it has ended", |c| {
            c.shop_mut().attended = attended(&[], "06:00", "04:59")
        })
        .missing("a shop that states no hours", |c| {
            c.shop_mut().attended.clear()
        }),
        hydrogen(
            "hydrogen-change-unattended",
            "somebody there from 06:00 to 06:01",
            |c| c.shop_mut().attended = attended(&[], "06:00", "06:01"),
        )
        .with(&["unattended-step"])
        .weighs(Caution)
        .inside("somebody there until 04:31, when it is off", |c| {
            c.shop_mut().attended = attended(&[], "06:00", "04:31")
        })
        .missing("a shop that states no hours", |c| {
            c.shop_mut().attended.clear()
        }),
        argon(
            "shop-names-unknown",
            "a post in stock that no record describes",
            |c| {
                let mut stock = c.shop_mut().stock[0].clone();
                stock.id = "alumina-post-12x31".to_owned();
                c.shop_mut().stock.push(stock);
            },
        )
        .weighs(Note)
        .no_between("a record describes it or none does")
        .missing("no state of the shop", |c| c.shop = None),
        argon(
            "survey-place-beyond-extremes",
            "a place 1 K hotter than the hottest",
            |c| place(c, |_, hottest| hottest + 1.0),
        )
        .weighs(Caution)
        .inside("a place as hot as the hottest", |c| {
            place(c, |_, hottest| hottest)
        })
        .missing("a place read where nothing was surveyed", |c| {
            place(c, |_, hottest| hottest);
            let survey = c.state().survey.as_mut().unwrap();
            survey.places[0].points[0].setpoint_c = 1300.0;
        }),
    ]
}
