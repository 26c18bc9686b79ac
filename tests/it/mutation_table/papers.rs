//! Approvals of the profile, hours at which somebody is there, and slips in the shop's state.

use super::{Row, argon, bases, hydrogen, row};
use crate::checks_attended::attended;
use crate::checks_shop_names::place;

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
        ),
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
        ),
        argon(
            "unattended-step",
            "somebody there from 06:00 to 22:00",
            |c| c.shop_mut().attended = attended(&[], "06:00", "22:00"),
        ),
        hydrogen(
            "hydrogen-change-unattended",
            "somebody there from 06:00 to 06:01",
            |c| c.shop_mut().attended = attended(&[], "06:00", "06:01"),
        )
        .with(&["unattended-step"]),
        argon(
            "shop-names-unknown",
            "a post in stock that no record describes",
            |c| {
                let mut stock = c.shop_mut().stock[0].clone();
                stock.id = "alumina-post-12x31".to_owned();
                c.shop_mut().stock.push(stock);
            },
        ),
        argon(
            "survey-place-beyond-extremes",
            "a place 1 K hotter than the hottest",
            |c| place(c, |_, hottest| hottest + 1.0),
        ),
    ]
}
