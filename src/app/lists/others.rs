//! What stands on a setter and is no part to be made: witness coupons, dummy masses, load
//! thermocouples.

use super::forms::{self, ShapeForm, button_unless, choice, entry};
use crate::app::state::{Action, App};
use crate::catalogue::SensorJob;
use crate::load::{Item, Plan};
use crate::part::PartId;
use crate::text::app as say;
use crate::text::edits;
use crate::units::{self, Quantity};
use egui::Ui;

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Kind {
    #[default]
    Coupon,
    Dummy,
    Thermocouple,
}

impl Kind {
    const ALL: [(Kind, &str); 3] = [
        (Kind::Coupon, "Witness coupon"),
        (Kind::Dummy, "Dummy mass"),
        (Kind::Thermocouple, "Load thermocouple"),
    ];
}

/// What is being set down.
#[derive(Clone, Debug)]
pub(super) struct OtherForm {
    kind: Kind,
    part: Option<PartId>,
    mark: String,
    shape: ShapeForm,
    mass: String,
    material: String,
    sensor: String,
    tip: String,
    at: [String; 2],
}

impl Default for OtherForm {
    fn default() -> OtherForm {
        OtherForm {
            kind: Kind::default(),
            part: None,
            mark: String::new(),
            shape: ShapeForm::default(),
            mass: String::new(),
            material: String::new(),
            sensor: String::new(),
            tip: "10 mm".to_owned(),
            at: ["0 mm".to_owned(), "0 mm".to_owned()],
        }
    }
}

impl App {
    pub(super) fn others(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let mut form = std::mem::take(&mut self.view.lists.other);
        forms::wrapped(ui, |ui| {
            for (kind, word) in Kind::ALL {
                ui.selectable_value(&mut form.kind, kind, say::label(word));
            }
        });
        match form.kind {
            Kind::Coupon => coupon(ui, plan, &mut form),
            Kind::Dummy => self.dummy(ui, &mut form),
            Kind::Thermocouple => self.thermocouple(ui, plan, &mut form),
        }
        let [x, y] = &mut form.at;
        entry(ui, "x", "x on the level", "mm", x);
        entry(ui, "y", "y on the level", "mm", y);
        let refused = self.view.level.is_none().then(say::no_level);
        let word = say::label("Set it down on this level");
        if button_unless(ui, refused, &word, &word).clicked() {
            match item(&form).and_then(|item| Ok((item, place(&form)?))) {
                Ok((item, at_mm)) => self.set_down(item, at_mm, actions),
                Err(sentence) => actions.push(Action::Say(sentence)),
            }
        }
        self.view.lists.other = form;
    }

    fn dummy(&self, ui: &mut Ui, form: &mut OtherForm) {
        form.shape.show(ui, "of the dummy mass", false);
        entry(ui, "Mass", "Mass of the dummy mass", "g", &mut form.mass);
        let materials = &self.working.catalogue.materials;
        if form.material.is_empty() {
            form.material = materials.keys().next().cloned().unwrap_or_default();
        }
        let name = |id: &String| {
            materials
                .get(id)
                .map_or_else(|| id.clone(), |(_, m)| m.name.clone())
        };
        let all = materials.keys().map(|id| (id.clone(), name(id)));
        let now = form.material.clone();
        if let Some(id) = choice(ui, "material", "Material", &name(&now), all, &now) {
            form.material = id;
        }
    }

    fn thermocouple(&self, ui: &mut Ui, plan: &Plan, form: &mut OtherForm) {
        let furnace = self.working.catalogue.furnace(&plan.load.furnace);
        let sensors = furnace.map_or(&[][..], |f| f.sensors.as_slice());
        let load = sensors.iter().filter(|s| s.job == SensorJob::Load);
        let all: Vec<_> = load.map(|s| (s.id.clone(), s.id.clone())).collect();
        if all.iter().all(|(id, _)| *id != form.sensor) {
            form.sensor = all.first().map_or_else(String::new, |(id, _)| id.clone());
        }
        if all.is_empty() {
            forms::sentence(ui, say::no_load_thermocouple());
            return;
        }
        let now = form.sensor.clone();
        if let Some(id) = choice(ui, "sensor", "Thermocouple", &now, all, &now) {
            form.sensor = id;
        }
        let name = "Height of the tip";
        entry(ui, name, name, "mm", &mut form.tip);
    }
}

fn coupon(ui: &mut Ui, plan: &Plan, form: &mut OtherForm) {
    if form.part.is_none_or(|id| plan.part(id).is_none()) {
        form.part = plan.parts.first().map(|p| p.id);
    }
    let Some(now) = form.part else {
        forms::sentence(ui, say::no_part_for_coupon());
        return;
    };
    let name = plan.part(now).map_or("", |p| &p.name);
    let all = plan.parts.iter().map(|p| (p.id, p.name.clone()));
    if let Some(id) = choice(ui, "coupon part", "Made as", name, all, &now) {
        form.part = Some(id);
    }
    entry(ui, "Mark", "Mark of the coupon", "", &mut form.mark);
}

fn item(form: &OtherForm) -> Result<Item, String> {
    let read = |quantity, word: &str, text: &str| {
        units::parse(quantity, text).map_err(|fault| say::in_field(word, &fault.to_string()))
    };
    match form.kind {
        Kind::Coupon => {
            let label = form.mark.trim().to_owned();
            if label.is_empty() {
                return Err(edits::no_name("coupon"));
            }
            let part = form.part.ok_or_else(say::no_part_for_coupon)?;
            Ok(Item::Coupon { part, label })
        }
        Kind::Dummy => {
            let (shape, _) = form.shape.shape()?;
            let mass_g = read(Quantity::Mass, "Mass", &form.mass)?;
            let material = form.material.clone();
            Ok(Item::Dummy {
                shape,
                mass_g,
                material,
            })
        }
        Kind::Thermocouple if form.sensor.is_empty() => Err(say::no_load_thermocouple()),
        Kind::Thermocouple => Ok(Item::Sensor {
            sensor: form.sensor.clone(),
            height_mm: read(Quantity::Length, "Height of the tip", &form.tip)?,
        }),
    }
}

fn place(form: &OtherForm) -> Result<[f64; 2], String> {
    let [x, y] = &form.at;
    let read = |word: &str, text: &str| {
        units::parse(Quantity::Length, text)
            .map_err(|fault| say::in_field(word, &fault.to_string()))
    };
    Ok([read("x", x)?, read("y", y)?])
}
