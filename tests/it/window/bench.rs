//! The window driven by label, through the real app, without a display: fake dialogs, a clock that
//! stands still, and egui's own accessibility tree.

use egui::{Key, Modifiers, Pos2, Rect, Role, Vec2};
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};
use setterwright::app::canvas::Camera;
use setterwright::app::dialogs::{Answer, Dialogs};
use setterwright::app::state::{App, Ask};
use setterwright::app::theme;
use setterwright::files::canonical;
use setterwright::geometry::{Outline, Pose};
use setterwright::load::{Edit, Item, Placement, PlacementId, Plan, Sizes};
use setterwright::part::{Drawn, Part, PartId, Shape, SizeStage, measure_typed};
use setterwright::review::Finding;
use setterwright::text::{Locale, set_locale};
use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// Answers in the order in which they are asked for; nothing left is a cancelled dialog.
#[derive(Clone, Default)]
pub struct FakeDialogs(Rc<RefCell<VecDeque<Answer>>>);

impl Dialogs for FakeDialogs {
    fn ask(&mut self, _ask: Ask, wake: Box<dyn Fn() + Send>) -> Receiver<Answer> {
        let (send, receive) = channel();
        let answer = self.0.borrow_mut().pop_front().unwrap_or(Answer::Nothing);
        send.send(answer).unwrap();
        wake();
        receive
    }
}

/// The window on a load in a folder of its own.
pub struct Bench {
    pub harness: Harness<'static, App>,
    pub dialogs: FakeDialogs,
    pub folder: tempfile::TempDir,
    clock: Rc<Cell<Duration>>,
}

/// A folder of the repository.
pub fn demo_loads() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-loads")
}

impl Bench {
    /// A copy of a demo load, opened from disk.
    pub fn demo(name: &str) -> Bench {
        Bench::sized(name, [1280.0, 800.0])
    }

    pub fn sized(name: &str, size: [f32; 2]) -> Bench {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(format!("{name}.load.ron"));
        std::fs::copy(demo_loads().join(format!("{name}.load.ron")), &path).unwrap();
        let app = App::on_file(Some(&path)).unwrap_or_else(|fault| panic!("{fault}"));
        Bench::of(app, folder, size)
    }

    /// The same with the forecast that the program makes; other benches have none, so that what
    /// they see does not depend on when it comes.
    pub fn forecasting(name: &str, size: [f32; 2]) -> Bench {
        let path = demo_loads().join(format!("{name}.load.ron"));
        let app = App::on_file(Some(&path)).unwrap_or_else(|fault| panic!("{fault}"));
        Bench::started(tempfile::tempdir().unwrap(), size, |_| app)
    }

    /// A new, empty load.
    pub fn empty() -> Bench {
        let mut bench = Bench::demo("clean");
        bench.menu("File", "New load");
        assert!(bench.plan().parts.is_empty());
        bench
    }

    pub fn of(app: App, folder: tempfile::TempDir, size: [f32; 2]) -> Bench {
        Bench::made(folder, size, |_| app)
    }

    /// The window on what a start makes.
    pub fn made(
        folder: tempfile::TempDir,
        size: [f32; 2],
        start: impl FnOnce(&egui::Context) -> App,
    ) -> Bench {
        Bench::started(folder, size, |ctx| start(ctx).without_forecast())
    }

    fn started(
        folder: tempfile::TempDir,
        size: [f32; 2],
        start: impl FnOnce(&egui::Context) -> App,
    ) -> Bench {
        let dialogs = FakeDialogs::default();
        let boxed = Box::new(dialogs.clone());
        let clock = Rc::new(Cell::new(Duration::ZERO));
        let reads = Rc::clone(&clock);
        let harness = Harness::builder()
            .with_size(Vec2::from(size))
            .with_pixels_per_point(1.0)
            .with_max_steps(12)
            .with_theme(egui::Theme::Light)
            .build_eframe(move |cc| {
                theme::install(&cc.egui_ctx);
                cc.egui_ctx
                    .all_styles_mut(|style| style.animation_time = 0.0);
                start(&cc.egui_ctx).with(boxed, Box::new(move || reads.get()))
            });
        let mut bench = Bench {
            harness,
            dialogs,
            folder,
            clock,
        };
        bench.run();
        bench
    }

    pub fn run(&mut self) {
        self.harness.run();
    }

    pub fn app(&self) -> &App {
        self.harness.state()
    }

    pub fn plan(&self) -> &Arc<Plan> {
        self.app().doc.plan()
    }

    /// The document as it would be saved, byte for byte.
    pub fn bytes(&self) -> String {
        canonical(self.plan()).unwrap()
    }

    /// What the next dialog answers.
    pub fn answer(&self, paths: &[PathBuf]) {
        let mut queue = self.dialogs.0.borrow_mut();
        queue.push_back(Answer::Paths(paths.to_vec()));
    }

    /// All nodes with this name, in any locale; never the label beside a field.
    fn nodes(&self, fits: impl Fn(&str) -> bool) -> Vec<Node<'_>> {
        let all = self.harness.query_all(By::new());
        let found: Vec<_> = all
            .filter(|n| text_of(n).is_some_and(|text| fits(&plain(&text))))
            .collect();
        let beside: Vec<_> = found
            .iter()
            .flat_map(|n| {
                n.accesskit_node()
                    .labelled_by()
                    .map(|l| l.id())
                    .collect::<Vec<_>>()
            })
            .collect();
        let mut found = found;
        found.retain(|n| !beside.contains(&n.accesskit_node().id()));
        found
    }

    /// What bears this name; exactly one has to.
    #[track_caller]
    pub fn find(&self, label: &str) -> Node<'_> {
        let mut found = self.nodes(|text| text == label);
        let n = found.len();
        match found.pop() {
            Some(node) if n == 1 => node,
            _ => panic!(
                "{n} things are called {label:?}; there are {:?}",
                self.names()
            ),
        }
    }

    /// Clicks what bears this name; exactly one has to.
    #[track_caller]
    pub fn click(&mut self, label: &str) {
        self.find(label).click();
        self.run();
    }

    /// Clicks an entry of a menu.
    #[track_caller]
    pub fn menu(&mut self, menu: &str, entry: &str) {
        self.click(menu);
        // A board may show the same command as a button: the entry is the last that came.
        let found = self.nodes(|text| text.starts_with(entry));
        found
            .last()
            .unwrap_or_else(|| panic!("no entry {entry}"))
            .click();
        drop(found);
        self.run();
    }

    pub fn key(&mut self, key: Key) {
        self.harness.key_press(key);
        self.run();
    }

    pub fn keys(&mut self, modifiers: Modifiers, key: Key) {
        self.harness.key_press_modifiers(modifiers, key);
        self.run();
    }

    /// Whether something says this.
    pub fn shows(&self, words: &str) -> bool {
        !self.nodes(|text| text.contains(words)).is_empty()
    }

    /// Types into the field of this name and commits with Enter.
    #[track_caller]
    pub fn fill(&mut self, field: &str, text: &str) {
        self.focus_field(field);
        self.write(text);
        self.pause();
        self.key(Key::Enter);
    }

    /// A person's pause: what comes after it is a step of its own.
    pub fn pause(&self) {
        self.clock.set(self.clock.get() + Duration::from_secs(5));
    }

    /// Replaces what stands in the field that has the focus.
    pub fn write(&mut self, text: &str) {
        self.harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
        self.harness.event(egui::Event::Text(text.to_owned()));
        self.run();
    }

    #[track_caller]
    pub fn focus_field(&mut self, field: &str) {
        self.field(field).focus();
        self.run();
    }

    #[track_caller]
    fn field(&self, name: &str) -> Node<'_> {
        let found = self.nodes(|text| text == name);
        let found = found.into_iter().find(|n| {
            let role = n.accesskit_node().role();
            matches!(role, Role::TextInput | Role::MultilineTextInput)
        });
        found.unwrap_or_else(|| panic!("no field {name:?} among {:?}", self.names()))
    }

    #[track_caller]
    pub fn value(&self, field: &str) -> String {
        self.field(field).value().unwrap_or_default()
    }

    /// Name of what has the focus.
    pub fn focused(&self) -> Option<String> {
        let mut all = self.harness.query_all(By::new());
        let node = all.find(|n| n.is_focused())?;
        text_of(&node).map(|text| plain(&text))
    }

    /// A copy of the demo's shop folder as the one to judge by.
    #[track_caller]
    pub fn demo_shop(&mut self) -> PathBuf {
        let shop = self.folder.path().join("shop");
        std::fs::create_dir_all(&shop).unwrap();
        for entry in std::fs::read_dir(demo_loads().join("shop")).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "ron") {
                std::fs::copy(&path, shop.join(path.file_name().unwrap())).unwrap();
            }
        }
        self.demo_shop_again(&shop);
        shop
    }

    /// The same folder once more, as it is now.
    #[track_caller]
    pub fn demo_shop_again(&mut self, shop: &PathBuf) {
        self.answer(std::slice::from_ref(shop));
        self.keys(Modifiers::COMMAND, Key::Num1);
        self.menu("File", "Choose shop folder…");
        assert!(self.app().shop.is_some(), "{}", self.message());
    }

    /// The message in the status line.
    pub fn message(&self) -> String {
        plain(&self.app().message)
    }

    /// Number of a placement by its label.
    pub fn id(&self, label: &str) -> PlacementId {
        let labels = self.plan().placement_labels();
        let found = labels.iter().find(|(_, l)| *l == label);
        *found
            .unwrap_or_else(|| panic!("no {label} among {labels:?}"))
            .0
    }

    pub fn at_mm(&self, label: &str) -> [f64; 2] {
        self.plan().placement(self.id(label)).unwrap().1.at_mm
    }

    /// The part of the window in which the plan is drawn, without its rulers.
    pub fn plan_rect(&self) -> Rect {
        let whole = self.harness.get_by_role(Role::Canvas).rect();
        Rect::from_min_max(
            whole.min + egui::vec2(theme::RULER, 0.0),
            whole.max - egui::vec2(0.0, theme::RULER),
        )
    }

    pub fn camera(&self) -> Camera {
        self.app().view.shown
    }

    pub fn on_screen(&self, at_mm: [f64; 2]) -> Pos2 {
        self.camera().to_screen(self.plan_rect(), at_mm)
    }

    /// A point of a placement with material under it, mm on the setter.
    pub fn grip_mm(&self, label: &str) -> [f64; 2] {
        let plan = self.plan();
        let (_, placement) = plan.placement(self.id(label)).unwrap();
        let catalogue = &self.app().working.catalogue;
        let sized = Sizes::new(plan, catalogue)
            .of(&placement.item, catalogue)
            .unwrap();
        let pose = Pose {
            angle_deg: placement.angle_deg,
            ..Pose::at(placement.at_mm[0], placement.at_mm[1])
        };
        pose.apply(inside(&sized.at(SizeStage::Green).body.silhouette()))
    }

    /// Presses on a thing and moves the pointer by so many millimetres, in ten steps.
    pub fn hold(&mut self, label: &str, by_mm: [f64; 2]) -> Pos2 {
        let grip = self.grip_mm(label);
        let from = self.on_screen(grip);
        let to = self.on_screen([grip[0] + by_mm[0], grip[1] + by_mm[1]]);
        assert!(self.plan_rect().contains(from), "{label} is out of sight");
        self.harness.hover_at(from);
        self.harness.step();
        self.harness.drag_at(from);
        self.harness.step();
        for i in 1..=10 {
            self.harness.hover_at(from.lerp(to, i as f32 / 10.0));
            self.harness.step();
        }
        to
    }

    /// Drags a thing by so many millimetres.
    pub fn drag(&mut self, label: &str, by_mm: [f64; 2]) {
        let to = self.hold(label, by_mm);
        self.harness.drop_at(to);
        self.run();
    }

    pub fn zoom(&mut self, zoom: f32) {
        let camera = self.camera();
        self.harness.state_mut().view.camera = Some(Camera { zoom, ..camera });
        self.run();
    }

    /// Whether the title says that something is not saved.
    pub fn starred(&self) -> bool {
        self.app().doc.title().ends_with('*')
    }

    pub fn snap(&mut self, on: bool) {
        self.harness.state_mut().view.snap.on = on;
        self.run();
    }

    /// Open findings of a check.
    pub fn findings(&self, slug: &str) -> Vec<Finding> {
        let review = self.app().review().unwrap();
        let found = review.findings.iter().filter(|f| f.check == slug);
        found.cloned().collect()
    }

    /// Waits for work on another thread.
    pub fn wait(&mut self, what: &str, done: impl Fn(&App) -> bool) {
        let end = Instant::now() + Duration::from_secs(60);
        while !done(self.app()) {
            assert!(Instant::now() < end, "{what} never came");
            std::thread::sleep(Duration::from_millis(5));
            self.harness.step();
        }
        self.run();
    }

    /// Clicks at a point of the window, without anything's name.
    pub fn click_at(&mut self, at: Pos2) {
        self.harness.hover_at(at);
        self.harness.step();
        self.harness.drag_at(at);
        self.harness.step();
        self.harness.drop_at(at);
        self.run();
    }

    /// Texts as painted in the last pass, those of no node included.
    pub fn painted(&self) -> Vec<String> {
        fn words(shape: &egui::Shape, out: &mut Vec<String>) {
            match shape {
                egui::Shape::Text(text) => out.push(text.galley.text().to_owned()),
                egui::Shape::Vec(all) => all.iter().for_each(|s| words(s, out)),
                _ => {}
            }
        }
        let mut out = Vec::new();
        for clipped in &self.harness.output().shapes {
            words(&clipped.shape, &mut out);
        }
        out
    }

    /// Texts painted in the last pass of which something is left out for want of room, and where.
    pub fn cut(&self) -> Vec<(String, Rect)> {
        fn cut(shape: &egui::Shape, out: &mut Vec<(String, Rect)>) {
            match shape {
                egui::Shape::Text(text) if text.galley.elided => {
                    let rect = Rect::from_min_size(text.pos, text.galley.size());
                    out.push((text.galley.text().to_owned(), rect));
                }
                egui::Shape::Vec(all) => all.iter().for_each(|s| cut(s, out)),
                _ => {}
            }
        }
        let mut out = Vec::new();
        for clipped in &self.harness.output().shapes {
            cut(&clipped.shape, &mut out);
        }
        out
    }

    /// Colours of the faces painted in the last pass, one for each.
    pub fn faces(&self) -> Vec<egui::Color32> {
        fn faces(shape: &egui::Shape, out: &mut Vec<egui::Color32>) {
            match shape {
                egui::Shape::Mesh(mesh) => out.extend(mesh.vertices.first().map(|v| v.color)),
                egui::Shape::Vec(all) => all.iter().for_each(|s| faces(s, out)),
                _ => {}
            }
        }
        let mut out = Vec::new();
        for clipped in &self.harness.output().shapes {
            faces(&clipped.shape, &mut out);
        }
        out
    }

    /// How many marks of this colour were painted in the last pass.
    pub fn marks(&self, colour: egui::Color32) -> usize {
        fn marks(shape: &egui::Shape, colour: egui::Color32) -> usize {
            match shape {
                egui::Shape::Path(path) => usize::from(path.fill == colour),
                egui::Shape::Vec(all) => all.iter().map(|s| marks(s, colour)).sum(),
                _ => 0,
            }
        }
        let shapes = self.harness.output().shapes.iter();
        shapes.map(|clipped| marks(&clipped.shape, colour)).sum()
    }

    /// Leaves on the level shown only a part of this shape at its middle, green as typed.
    pub fn alone(&mut self, shape: Shape) -> PlacementId {
        let level = self.app().view.level.unwrap();
        let plan = Arc::clone(self.plan());
        let there = plan.level(level).unwrap().1.placements.iter();
        let there: Vec<PlacementId> = there.map(|p| p.id).collect();
        let mut part = Part::clone(&plan.parts[0]);
        part.id = PartId(plan.next_id);
        part.name = "the only one".to_owned();
        part.geometry = Arc::new(measure_typed(&shape).unwrap());
        part.shape = shape;
        part.drawn = Drawn::Green;
        let id = PlacementId(plan.next_id + 1);
        let only = Placement {
            id,
            item: Item::Part {
                part: part.id,
                lot: None,
            },
            at_mm: [0.0, 0.0],
            angle_deg: 0.0,
            support: None,
            locked: false,
        };
        let edits = [
            Edit::RemovePlacements(there),
            Edit::AddPart(Box::new(part)),
            Edit::Place {
                level,
                placements: vec![only],
            },
        ];
        for edit in edits {
            let done = self.harness.state_mut().edit(&edit);
            assert!(done, "{}", self.message());
        }
        self.run();
        id
    }

    /// Names and words of everything in the window, as they stand there.
    pub fn names(&self) -> Vec<String> {
        let all = self.harness.query_all(By::new());
        all.filter_map(|n| text_of(&n))
            .filter(|text| !text.trim().is_empty())
            .collect()
    }
}

/// Name of a node; a label's words are its value.
fn text_of(node: &Node<'_>) -> Option<String> {
    let node = node.accesskit_node();
    if node.role() == Role::Label {
        node.value()
    } else {
        node.label()
    }
}

/// A text of the pseudo-locale as it would be in English.
pub fn plain(text: &str) -> String {
    let letters = text.chars().filter(|c| !matches!(c, '[' | ']' | '~'));
    letters
        .map(|c| match c {
            'á' => 'a',
            'é' => 'e',
            'í' => 'i',
            'ö' => 'o',
            'ú' | 'ü' => 'u',
            'Å' => 'A',
            'É' => 'E',
            'Ö' => 'O',
            other => other,
        })
        .collect()
}

/// Runs a story in English and in the pseudo-locale.
pub fn in_both_locales(story: impl Fn()) {
    for locale in [Locale::English, Locale::Pseudo] {
        set_locale(locale);
        story();
    }
    set_locale(Locale::English);
}

/// A point well inside an outline, so that a rounding of the pointer stays on it.
fn inside(outline: &Outline) -> [f64; 2] {
    let [low, high] = outline.bounds().unwrap();
    let step = |k: usize, i: usize| low[k] + (high[k] - low[k]) * (i as f64 + 0.5) / 24.0;
    let around = [[0.0, 0.0], [0.8, 0.0], [-0.8, 0.0], [0.0, 0.8], [0.0, -0.8]];
    (0..24)
        .flat_map(|i| (0..24).map(move |j| (i, j)))
        .map(|(i, j)| [step(0, i), step(1, j)])
        .find(|p| {
            around
                .iter()
                .all(|d| outline.contains([p[0] + d[0], p[1] + d[1]]))
        })
        .unwrap()
}
