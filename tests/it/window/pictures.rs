//! The pictures of the README are what the program draws today, and each board can be drawn in both
//! themes and at both sizes that people have.

use super::bench::demo_loads;
use egui::{ColorImage, Theme};
use setterwright::app::state::App;
use setterwright::app::{PictureBoard, PictureOf, picture};
use std::collections::BTreeSet;
use std::path::Path;

fn draw(load: &str, of: &PictureOf) -> ColorImage {
    let path = demo_loads().join(format!("{load}.load.ron"));
    let mut app = App::on_file(Some(&path)).unwrap_or_else(|fault| panic!("{fault}"));
    picture(&mut app, of)
}

fn of(board: PictureBoard, theme: Theme, size: [usize; 2]) -> PictureOf {
    PictureOf {
        board,
        theme,
        size,
        level: None,
    }
}

fn kept(name: &str) -> ([usize; 2], Vec<u8>) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("assets/pictures")
        .join(name);
    let file = std::io::BufReader::new(std::fs::File::open(path).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut bytes).unwrap();
    ([info.width as usize, info.height as usize], bytes)
}

#[test]
fn the_readme_shows_what_is_drawn_today() {
    for (name, board) in [
        ("load-board.png", PictureBoard::Load),
        ("profile-board.png", PictureBoard::Profile),
    ] {
        let (size, kept) = kept(name);
        let drawn = draw("cautions", &of(board, Theme::Light, size));
        let fresh = drawn.as_raw();
        assert_eq!(kept.len(), fresh.len(), "{name}");
        // Floats may round otherwise on another processor: a pixel in a thousand may differ.
        let other = kept.chunks(4).zip(fresh.chunks(4));
        let other = other.filter(|(a, b)| a.iter().zip(*b).any(|(a, b)| a.abs_diff(*b) > 8));
        let other = other.count();
        assert!(
            other * 1000 < size[0] * size[1],
            "{name}: {other} pixels differ; draw it anew: setterwright --picture … -o assets/pictures/{name}"
        );
    }
}

/// Drawn whole: no board is empty, and the themes differ.
#[test]
fn boards_in_both_themes_and_sizes() {
    for board in [PictureBoard::Load, PictureBoard::Profile] {
        for size in [[1280, 720], [1920, 1080]] {
            let grounds = [Theme::Light, Theme::Dark].map(|theme| {
                let image = draw("stop", &of(board, theme, size));
                assert_eq!(image.size, size);
                let colours: BTreeSet<[u8; 4]> =
                    image.pixels.iter().map(|p| p.to_array()).collect();
                assert!(
                    colours.len() > 200,
                    "{board:?} {theme:?}: {} colours",
                    colours.len()
                );
                assert!(image.pixels.iter().all(|p| p.a() == 255));
                image.pixels[0].to_array()
            });
            assert_ne!(grounds[0], grounds[1]);
        }
    }
}

/// A stroke that runs wild would cover the plan with its colour: no level of the largest demo load
/// is drawn so, near by or far away.
#[test]
fn no_outline_runs_across_the_plan() {
    let edge = setterwright::app::theme::LIGHT.part_edge;
    for level in 1..=12 {
        let of = PictureOf {
            level: Some(level),
            ..of(PictureBoard::Load, Theme::Light, [1280, 720])
        };
        let image = draw("large", &of);
        let covered = image.pixels.iter().filter(|p| **p == edge).count();
        assert!(
            covered * 20 < image.pixels.len(),
            "level {level}: {covered} pixels"
        );
    }
}
